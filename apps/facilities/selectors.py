from collections.abc import Iterable
from typing import Any

from django.db.models import Model, Q, QuerySet

from apps.facilities.choices import AreaKind
from apps.facilities.models import Area, Facility, Observation, ReferralRoute, TravelTime


def areas_for(user: Any) -> QuerySet[Area]:
    """The areas that ``user`` stewards and those below, parents first; two queries."""
    return Area.objects.visible_to(user).select_related("parent")


def area_for(user: Any, code: str) -> Area:
    """The area ``code``; raises ``Area.DoesNotExist`` if ``user`` may not see it."""
    return areas_for(user).get(code=code)


def districts_for(user: Any) -> QuerySet[Area]:
    """The districts that ``user`` stewards, in whole or by one of their blocks; two queries."""
    districts = Area.objects.filter(kind=AreaKind.DISTRICT)
    if user.is_superuser:
        return districts
    above_or_at = Q(pk__in=[])
    for path in user.stewardships.values_list("area__path", flat=True):
        codes = path.rstrip("/").split("/")
        above_or_at |= Q(path__startswith=path) | Q(code__in=codes)
    return districts.filter(above_or_at)


def plannable_districts(user: Any) -> QuerySet[Area]:
    """The districts that ``user`` answers for as a whole, and so may plan for; two queries."""
    return Area.objects.visible_to(user).filter(kind=AreaKind.DISTRICT)


def stewarded_areas(user: Any) -> QuerySet[Area]:
    """The areas that ``user`` answers for themselves, without those below; one query."""
    return Area.objects.filter(stewardships__user=user)


def areas_with_codes(codes: Iterable[str]) -> QuerySet[Area]:
    """The areas that ``codes`` name, whoever asks; those that are gone are left out."""
    return Area.objects.filter(code__in=list(codes))


def district_of(area: Area) -> Area:
    """The district that ``area`` is, or lies in; a query for each step up the tree.

    Raises ``Area.DoesNotExist`` where no area above is a district.
    """
    at: Area | None = area
    while at is not None and at.kind != AreaKind.DISTRICT:
        at = at.parent
    if at is None:
        raise Area.DoesNotExist(
            f"The area {area.code} lies in no district. Give it a parent that does."
        )
    return at


def areas_with_sites(user: Any, district: Area) -> list[Area]:
    """The areas of ``district`` in which open facilities lie directly: blocks by name, then
    the district itself if some do; two queries."""
    within = areas_for(user).within(district.path)
    held = Facility.objects.open().values("area")
    return list(within.filter(pk__in=held).order_by("kind", "name"))


def facilities_for(user: Any) -> QuerySet[Facility]:
    """Open facilities in the areas of ``user``, each with its area; two queries."""
    return Facility.objects.visible_to(user).open().select_related("area")


def facility_for(user: Any, code: str) -> Facility:
    """The open facility ``code``; raises ``Facility.DoesNotExist`` if ``user`` may not see it."""
    return facilities_for(user).get(code=code)


def routes_from(facility: Facility) -> QuerySet[ReferralRoute]:
    """Where specimens of ``facility`` may go, quickest first; one query."""
    return facility.routes_out.select_related("destination").order_by("hours", "destination__code")


def travel_times_for(user: Any) -> QuerySet[TravelTime]:
    """Measured ways that set out in the areas of ``user``, each with its ends; two queries."""
    return TravelTime.objects.visible_to(user).select_related("origin__area", "destination")


def was_kept(user: Any, entry_key: str) -> bool:
    """Whether an entry of ``user`` with this key came before; one query."""
    return bool(entry_key) and Observation.objects.filter(by=user, entry_key=entry_key).exists()


def observations_of(obj: Model, facility: Facility) -> QuerySet[Observation]:
    """What was seen of ``obj`` at ``facility``, newest first, each with who wrote it; one query."""
    key = str(getattr(obj, "code", None) or obj.pk)
    rows = Observation.objects.about(obj._meta.label_lower, key)
    return rows.filter(facility=facility).select_related("by")
