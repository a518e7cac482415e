"""The register of an area as a bundle of FHIR R4, paired as IHE mCSD asks."""

import json
from collections import defaultdict
from collections.abc import Iterator
from typing import Any, Literal

from django.db.models import QuerySet

from apps.demand.models import ServiceStatistic
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.adapters.bundles import writing
from apps.imports.adapters.tables import TABLES
from apps.imports.models import SiteIdentifier
from apps.inventory.choices import Presence
from apps.inventory.models import EquipmentItem, InfrastructureHeld

AT_ONCE = 2000


def register_bundle(
    user: Any, area: Area, kind: Literal["collection", "transaction"] = "collection"
) -> str:
    """Areas, open sites, what these offer, and their devices, as far as ``user`` may see them.

    A ``transaction`` may be sent to a server of FHIR; reading either in again changes nothing.
    """
    areas = areas_for(user).within(area.path).order_by("path")
    sites = facilities_for(user).within(area.path)
    resources = [*_areas(areas), *_sites(sites), *_services(sites), *_devices(sites)]
    return json.dumps(writing.bundle(kind, resources), ensure_ascii=False)


def _areas(areas: QuerySet[Area]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    inside = set(areas.values_list("code", flat=True))
    for row in _rows(areas, "areas.csv"):
        # What lies above is not in the bundle, and nothing may refer to it.
        parent = row["parent"] if row["parent"] in inside else None
        yield from writing.area_pair({**row, "parent": parent})


def _sites(sites: QuerySet[Facility]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    known_as: defaultdict[str, list[tuple[str, str]]] = defaultdict(list)
    for code, system, value in SiteIdentifier.objects.filter(
        facility__in=sites.order_by().values("pk")
    ).values_list("facility__code", "system", "value"):
        known_as[code].append((system, value))
    for row in _rows(sites, "facilities.csv"):
        yield from writing.site_pair(row, known_as[row["code"]])


def _services(sites: QuerySet[Facility]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """A service for each site of which tests or infrastructure are known."""
    inside = sites.order_by().values("pk")
    tests: defaultdict[str, dict[str, str]] = defaultdict(dict)
    for site, code, name in ServiceStatistic.objects.filter(
        facility__in=inside, recorded_tests__gt=0
    ).values_list("facility__code", "test__code", "test__name"):
        tests[site][code] = name
    held: defaultdict[str, dict[str, list[str]]] = defaultdict(
        lambda: {Presence.PRESENT: [], Presence.ABSENT: []}
    )
    for site, code, presence in (
        InfrastructureHeld.objects.filter(facility__in=inside)
        .exclude(presence=Presence.UNKNOWN)
        .values_list("facility__code", "infrastructure__code", "presence")
    ):
        held[site][presence].append(code)
    for row in sites.values("code", "name"):
        if row["code"] in tests or row["code"] in held:
            yield writing.service(row, sorted(tests[row["code"]].items()), held[row["code"]])


def _devices(sites: QuerySet[Facility]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    items = EquipmentItem.objects.filter(facility__in=sites.order_by().values("pk"))
    names = dict(items.values_list("device_model__code", "device_model__name").distinct())
    for row in _rows(items, "equipment.csv"):
        yield writing.device(row, names[row["device_model"]])


def _rows(rows: QuerySet, file: str) -> Iterator[dict[str, Any]]:
    """The columns of the table, references by code."""
    columns = TABLES[file].sheet.columns
    paths = [f"{name}__code" if TABLES[file].fields[name].is_relation else name for name in columns]
    for values in rows.values_list(*paths).iterator(chunk_size=AT_ONCE):
        yield dict(zip(columns, values, strict=True))
