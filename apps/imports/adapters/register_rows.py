"""The rows of a table of the register that lie in somebody's places, as they are kept."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import ForeignKey, Q, QuerySet

from apps.facilities.models import Area, Facility
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.adapters.tables import RegisterTable

AT_ONCE = 5000


@dataclass(frozen=True)
class Places:
    """The areas and the open sites that an export is about."""

    areas: QuerySet[Area]
    sites: QuerySet[Facility]


def places_of(user: Any, area: Area, site: Facility | None = None) -> Places:
    """What ``user`` may see of ``area``, or ``site`` alone, which lies in it."""
    sites = facilities_for(user).within(area.path)
    if site is not None:
        sites = sites.filter(pk=site.pk)
    return Places(areas_for(user).within(area.path), sites)


def rows_in(table: RegisterTable, places: Places) -> QuerySet:
    """The rows of ``table`` that belong to ``places``, by their keys."""
    sites, areas = places.sites.order_by().values("pk"), places.areas.order_by().values("pk")
    model = table.sheet.model
    if model in (Area, Facility):
        belong = Q(pk__in=areas if model is Area else sites)
    else:
        belong = Q()
        for name in table.places:
            belong |= Q(**{f"{name}__in": areas if name == "area" else sites})
    return model._default_manager.filter(belong).order_by(*map(_column(table), table.sheet.key))


def values_of(table: RegisterTable, rows: QuerySet) -> Iterator[tuple[Any, ...]]:
    """``rows`` as values in the order of the sheet's columns, references by code; one query."""
    names = [_column(table)(name) for name in table.sheet.columns]
    return rows.values_list(*names).iterator(chunk_size=AT_ONCE)


def _column(table: RegisterTable) -> Any:
    def named(name: str) -> str:
        return f"{name}__code" if isinstance(table.fields[name], ForeignKey) else name

    return named
