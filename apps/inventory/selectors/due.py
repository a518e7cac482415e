"""What needs somebody soon: devices to calibrate or service, facts that nobody has seen lately."""

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Max, Q, QuerySet

from apps.catalogue.choices import Planned
from apps.catalogue.models import PlanningRange, ServedClass
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import facilities_for
from apps.inventory.choices import WORKING, DueKind, Outcome
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    SkillHeld,
    StaffHeld,
)
from apps.inventory.rules import (
    SOON_DAYS,
    STOCK_STALE_DAYS,
    Due,
    Norm,
    due_of,
    is_stale,
    wants_refresher,
)
from apps.inventory.selectors.holdings import items_for

NORMS = {DueKind.CALIBRATION: Planned.VERIFICATION_MONTHS, DueKind.SERVICE: Planned.SERVICE_MONTHS}
HELD = (SkillHeld, InfrastructureHeld, StaffHeld)


@dataclass(frozen=True)
class ItemDue:
    """A working device and one thing that is due, soon due, or that nobody wrote down."""

    item: EquipmentItem
    due: Due
    days_over: int | None


@dataclass(frozen=True)
class Stale:
    """A facility and how many of its facts of one ``kind`` nobody has seen for too long.

    ``kind``: site, equipment, skill, infrastructure, staff or stock. ``oldest``: the day the
    oldest of them was seen; ``None`` where one was never dated.
    """

    facility: Facility
    kind: str
    count: int
    oldest: dt.date | None


@dataclass(frozen=True)
class DueAndStale:
    due: tuple[ItemDue, ...]
    unknown: tuple[ItemDue, ...]
    stale: tuple[Stale, ...]
    refreshers: tuple[SkillHeld, ...]


def due_and_stale(user: Any, district: Area, today: dt.date) -> DueAndStale:
    """What is due within 60 days or overdue, the longest overdue first; and what is stale.

    ``unknown``: working devices with an interval to keep and no date to start from.
    ``refreshers``: skills whose people were last trained or supervised long ago. A constant
    number of queries.
    """
    due = [
        ItemDue(item, each, each.days_over(today))
        for item, dues in dues_of(working(user, district))
        for each in dues
    ]
    near = [each for each in due if each.days_over is not None and _in_sight(each)]
    return DueAndStale(
        tuple(sorted(near, key=lambda each: (-(each.days_over or 0), each.item.code))),
        tuple(each for each in due if each.days_over is None),
        tuple(_stale(user, district, today)),
        tuple(_refreshers(user, district, today)),
    )


def working(user: Any, district: Area) -> QuerySet[EquipmentItem]:
    """Devices of ``district`` that work, each with its model; two queries."""
    rows = items_for(user).filter(condition__in=WORKING)
    return rows.within(district.path).order_by("facility__name", "code")


def dues_of(items: QuerySet[EquipmentItem]) -> list[tuple[EquipmentItem, list[Due]]]:
    """Each item with all that falls due on it; four queries, however many items."""
    norms = {kind: _norms(measure) for kind, measure in NORMS.items()}
    passed = Q(
        verifications__outcome=Outcome.PASS,
        verifications__withdrawn_on=None,
        verifications__ended_on=None,
    )
    rows = items.annotate(measured_on=Max("verifications__done_on", filter=passed))
    classes = _classes()
    return [
        (
            item,
            due_of(
                item,
                _strictest(norms[DueKind.CALIBRATION], classes.get(item.device_model_id, ())),
                _strictest(norms[DueKind.SERVICE], classes.get(item.device_model_id, ())),
                item.measured_on,
            ),
        )
        for item in rows
    ]


def _in_sight(each: ItemDue) -> bool:
    """From 60 days before; what is overdue stays, but a paper that ended long ago is history."""
    over = each.days_over or 0
    return over >= -SOON_DAYS and (each.due.kind in NORMS or over <= 0)


def _classes() -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for model, served in ServedClass.objects.values_list("device_model", "device_class"):
        found.setdefault(model, []).append(served)
    return found


def _norms(measure: str) -> dict[int, Norm]:
    """Device class to the usual interval, or to the shortest of its kinds where none is usual."""
    rows = PlanningRange.objects.filter(measure=measure).select_related("source")
    found: dict[int, Norm] = {}
    for row in sorted(rows, key=lambda each: (bool(each.variant), each.high)):
        norm = Norm(row.low, row.high, row.source, row.source_kind)
        found.setdefault(row.device_class_id, norm)
    return found


def _strictest(norms: Mapping[int, Norm], classes: Iterable[int]) -> Norm | None:
    """A model that serves several classes is checked as often as the strictest asks."""
    found = [norms[each] for each in classes if each in norms]
    return min(found, key=lambda norm: norm.high_months, default=None)


def _stale(user: Any, district: Area, today: dt.date) -> list[Stale]:
    sites = list(facilities_for(user).within(district.path).order_by("name"))
    found = [
        Stale(site, "site", 1, site.observed_on)
        for site in sites
        if is_stale(site.observed_on, today)
    ]
    by_pk = {site.pk: site for site in sites}
    for kind, model, days in (
        ("equipment", EquipmentItem, None),
        *((model._meta.model_name.removesuffix("held"), model, None) for model in HELD),
        ("stock", ConsumableHeld, STOCK_STALE_DAYS),
    ):
        rows = model.objects.filter(facility__in=by_pk).order_by()
        old: dict[int, list[dt.date | None]] = {}
        for facility, seen in rows.values_list("facility", "observed_on"):
            if is_stale(seen, today, days):
                old.setdefault(facility, []).append(seen)
        found += [
            Stale(by_pk[pk], kind, len(dates), None if None in dates else min(dates))
            for pk, dates in old.items()
        ]
    return sorted(found, key=lambda each: (each.oldest or dt.date.min, each.facility.name))


def _refreshers(user: Any, district: Area, today: dt.date) -> list[SkillHeld]:
    rows = SkillHeld.objects.visible_to(user).within(district.path)
    rows = rows.filter(facility__closed_on__isnull=True, staff_count__gt=0)
    found = rows.select_related("facility", "skill").order_by("last_trained_on", "facility__name")
    return [held for held in found if wants_refresher(held, today)]
