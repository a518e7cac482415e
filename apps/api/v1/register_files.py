"""The register of an area in open formats: GeoJSON, FHIR, and tables as CSV.

Which of the first two an address without an ending gives is asked for by ``Accept``.
"""

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.lookup import found
from apps.api.views import View
from apps.facilities.selectors import area_for
from apps.imports.exports import REGISTER, places_geojson, register_bundle, table_csv

GEOJSON, FHIR, CSV = "application/geo+json", "application/fhir+json", "text/csv"
PLACES = OpenApiResponse(
    OpenApiTypes.OBJECT,
    description="A FeatureCollection (RFC 7946): areas with their outlines, sites as Points.",
)
BUNDLE = OpenApiResponse(
    OpenApiTypes.OBJECT,
    description="A Bundle of FHIR R4: Location and Organization in pairs (IHE mCSD),"
    " HealthcareService, Device.",
)
KIND = OpenApiParameter(
    "type",
    str,
    enum=["collection", "transaction"],
    description="Of a bundle: to be read (collection, the default), or to be sent to a server"
    " (transaction).",
)


class _Written(JSONRenderer):
    """Passes on text that is written already; mistakes are JSON as everywhere."""

    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None):
        if isinstance(data, str):
            return data.encode()
        return super().render(data, accepted_media_type, renderer_context)


class GeoJSON(_Written):
    media_type, format = GEOJSON, "geojson"


class FHIR_JSON(_Written):  # noqa: N801
    media_type, format = FHIR, "fhir"


class CSVText(_Written):
    media_type, format = CSV, "csv"


class _File(View):
    """A file of an area of the person."""

    deeds = {"GET": "register.view"}

    def handle_exception(self, error: Exception) -> Response:
        answer = super().handle_exception(error)
        self.request.accepted_renderer = JSONRenderer()
        self.request.accepted_media_type = "application/json"
        return answer

    def area(self, request: Request, code: str) -> Any:
        return found("area", area_for, request.user, code)

    def places(self, request: Request, code: str) -> Response:
        return Response(places_geojson(request.user, self.area(request, code)))

    def bundle(self, request: Request, code: str) -> Response:
        area = self.area(request, code)
        kind = "transaction" if request.GET.get("type") == "transaction" else "collection"
        return Response(register_bundle(request.user, area, kind))


class RegisterFile(_File):
    renderer_classes = [GeoJSON, FHIR_JSON]

    @extend_schema(
        operation_id="get_register",
        tags=["register"],
        parameters=[KIND],
        responses={(200, GEOJSON): PLACES, (200, FHIR): BUNDLE},
    )
    def get(self, request: Request, code: str) -> Response:
        """The areas and sites of an area in the format that ``Accept`` asks for, as
        ``application/geo+json`` (the default) or ``application/fhir+json``."""
        wanted = request.accepted_renderer.media_type
        return (self.bundle if wanted == FHIR else self.places)(request, code)


class PlacesFile(_File):
    renderer_classes = [GeoJSON]

    @extend_schema(operation_id="get_places", tags=["register"], responses={(200, GEOJSON): PLACES})
    def get(self, request: Request, code: str) -> Response:
        """The areas and sites of an area as GeoJSON. Sent as an upload, it changes nothing."""
        return self.places(request, code)


class BundleFile(_File):
    renderer_classes = [FHIR_JSON]

    @extend_schema(
        operation_id="get_bundle",
        tags=["register"],
        parameters=[KIND],
        responses={(200, FHIR): BUNDLE},
    )
    def get(self, request: Request, code: str) -> Response:
        """The register of an area as a bundle of FHIR. Sent as an upload, it changes nothing."""
        return self.bundle(request, code)


class TableFile(_File):
    renderer_classes = [CSVText]

    @extend_schema(
        operation_id="get_table",
        tags=["register"],
        parameters=[OpenApiParameter("table", str, OpenApiParameter.PATH)],
        responses={(200, CSV): OpenApiTypes.STR},
    )
    def get(self, request: Request, code: str, table: str) -> Response:
        """One table of an area as CSV, under the columns that an upload of it has."""
        area = self.area(request, code)
        sheet = REGISTER.get(f"{table.replace('-', '_')}.csv")
        if sheet is None:
            names = ", ".join(file.removesuffix(".csv").replace("_", "-") for file in REGISTER)
            raise NotFound(f"There is no table {table!r}. There are {names}.")
        return Response(table_csv(sheet, user=request.user, area=area))
