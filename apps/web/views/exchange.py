"""The register and the catalogue as files for other programs."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from apps.imports.adapters.tables import TABLES
from apps.imports.exports import (
    CATALOGUE,
    REGISTER,
    places_geojson,
    register_bundle,
    table_csv,
)
from apps.web.views.access import permitted
from apps.web.views.files import CSV, FHIR, GEOJSON, attachment
from apps.web.views.scope import required_district, scope_of


@permitted("register.view")
def exchange_list(request: HttpRequest) -> HttpResponse:
    """What can be taken away, and in which formats."""
    scope = scope_of(request)
    values = {
        "district": scope.district,
        "districts": scope.districts,
        "tables": [(slug_of(file), TABLES[file].title if file in TABLES else file, file)
                   for file in REGISTER],
        "catalogue": [(slug_of(file), file) for file in CATALOGUE],
    }  # fmt: skip
    return render(request, "web/uploads/exchange.html", values)


@permitted("register.view")
def register_table(request: HttpRequest, table: str) -> HttpResponse:
    """One table of the district as CSV, as it can be uploaded again."""
    district = required_district(request)
    sheet = REGISTER.get(file_of(table))
    if sheet is None:
        raise Http404
    content = table_csv(sheet, user=request.user, area=district)
    return attachment(content, f"{district.code}-{table}.csv", CSV)


@permitted("register.view")
def catalogue_table(request: HttpRequest, table: str) -> HttpResponse:
    """One table of the catalogue as CSV, as a folder of it is loaded."""
    sheet = CATALOGUE.get(file_of(table))
    if sheet is None:
        raise Http404
    return attachment(table_csv(sheet), f"catalogue-{table}.csv", CSV)


@permitted("register.view")
def places_file(request: HttpRequest) -> HttpResponse:
    """Sites and outlines of the district as GeoJSON."""
    district = required_district(request)
    content = places_geojson(request.user, district)
    return attachment(content, f"{district.code}.geojson", GEOJSON)


@permitted("register.view")
def bundle_file(request: HttpRequest) -> HttpResponse:
    """The register of the district as a bundle of FHIR; ``?type=transaction`` to be sent on."""
    district = required_district(request)
    kind = "transaction" if request.GET.get("type") == "transaction" else "collection"
    content = register_bundle(request.user, district, kind)
    return attachment(content, f"{district.code}.fhir.json", FHIR)


def slug_of(file: str) -> str:
    return file.removesuffix(".csv").replace("_", "-")


def file_of(slug: str) -> str:
    return f"{slug.replace('-', '_')}.csv"
