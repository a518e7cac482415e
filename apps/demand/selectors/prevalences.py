from dataclasses import dataclass
from enum import IntEnum

from django.db.models import Q, QuerySet

from apps.demand.models import ExpectedPrevalence
from apps.facilities.choices import AreaKind
from apps.facilities.models import Facility


class Nearness(IntEnum):
    """Where a prevalence was said to hold, farthest first; the nearest one counts."""

    EVERYWHERE = 0
    DISTRICT = 1
    BLOCK = 2
    FACILITY = 3


@dataclass(frozen=True)
class Prevalence:
    """The prevalence that counts at a facility, and how near to it that was said."""

    row: ExpectedPrevalence
    nearness: Nearness


def prevalences_at(facility: Facility) -> dict[int, Prevalence]:
    """Test id to the prevalence that counts at ``facility``; one query.

    That of the facility itself, else of its block, else of its district, else the one for
    everywhere. A test without any is absent: its prevalence is not known.
    """
    found: dict[int, Prevalence] = {}
    for row in _that_hold(facility):
        known = Prevalence(row, _nearness(row))
        best = found.get(row.test_id)
        if best is None or _rank(known) > _rank(best):
            found[row.test_id] = known
    return found


def _that_hold(facility: Facility) -> QuerySet[ExpectedPrevalence]:
    above = facility.area.path.rstrip("/").split("/")
    everywhere = Q(facility=None, area=None)
    return ExpectedPrevalence.objects.filter(
        Q(facility=facility) | Q(area__code__in=above) | everywhere
    ).select_related("area", "source")


def _nearness(row: ExpectedPrevalence) -> Nearness:
    if row.facility_id is not None:
        return Nearness.FACILITY
    if row.area is None:
        return Nearness.EVERYWHERE
    return Nearness.DISTRICT if row.area.kind == AreaKind.DISTRICT else Nearness.BLOCK


def _rank(known: Prevalence) -> tuple[int, int]:
    """Of two blocks one within the other, the inner one is nearer."""
    area = known.row.area
    return known.nearness, len(area.path) if area else 0
