import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from apps.catalogue.choices import StepKind
from apps.catalogue.models import DeviceClass, DeviceModel, Need
from apps.facilities.models import Area
from apps.inventory.choices import WORKING, Condition, Standing
from apps.inventory.models import EquipmentItem, Verification
from apps.inventory.rules import WORST_FIRST, latest_of_each, standing, standing_of
from apps.inventory.selectors.holdings import items_for

VALID = frozenset({Standing.VALID, Standing.DUE})
# What needs somebody's attention first; what was never verified before what is well.
ORDER = {each: at for at, each in enumerate([*WORST_FIRST[:-2], Standing.NEVER, *WORST_FIRST[-2:]])}


def verifications_for(user: Any) -> QuerySet[Verification]:
    """Verifications of items that ``user`` may see, newest first; two queries."""
    return (
        Verification.objects.visible_to(user)
        .filter(item__facility__closed_on__isnull=True)
        .select_related("item__facility__area", "item__device_model")
    )


def verification_for(user: Any, code: str) -> Verification:
    """Verification ``code``; raises ``Verification.DoesNotExist`` if it is out of reach."""
    return verifications_for(user).get(code=code)


def verifications_of(item: EquipmentItem) -> QuerySet[Verification]:
    """All of ``item``, newest first, withdrawn ones too; one query."""
    return item.verifications.all()


def current_verification(item: EquipmentItem, on: dt.date) -> Verification | None:
    """The newest that is a valid pass on the day ``on``, or ``None``; one query."""
    latest = latest_of_each(verifications_of(item).order_by("done_on", "pk"))
    valid = [each for each in latest if standing(each, item, on) in VALID]
    return max(valid, key=lambda each: (each.done_on, each.pk), default=None)


@dataclass(frozen=True)
class ItemStanding:
    """An item, what can be said of it, and its newest verification that was not withdrawn."""

    item: EquipmentItem
    standing: Standing
    latest: Verification | None


def standings(user: Any, district: Area, on: dt.date) -> list[ItemStanding]:
    """Every item of ``district`` that works or was verified and has limits to keep.

    The worst standing first, then by facility and code. Four queries.
    """
    rows = (
        items_for(user)
        .filter(facility__area__path__startswith=district.path)
        .filter(Q(verifications__isnull=False) | Q(device_model__in=_with_limits()))
        .filter(Q(verifications__isnull=False) | Q(condition__in=[*WORKING, Condition.AWAITING]))
        .prefetch_related(_oldest_first())
        .distinct()
    )
    found = [_standing_of(item, on) for item in rows]
    return sorted(found, key=lambda each: (ORDER[each.standing], each.item.facility.name))


def _oldest_first() -> Prefetch:
    return Prefetch("verifications", Verification.objects.order_by("done_on", "pk"))


def _standing_of(item: EquipmentItem, on: dt.date) -> ItemStanding:
    verifications = list(item.verifications.all())
    kept = [each for each in verifications if each.withdrawn_on is None]
    return ItemStanding(item, standing_of(verifications, item, on), kept[-1] if kept else None)


def _with_limits() -> QuerySet[DeviceModel]:
    """Models of the classes that a limit is for: itself, by a method, or by a test it answers."""
    of_tests = Need.objects.filter(method__test__limits__isnull=False).filter(
        Q(method__steps=None) | Q(steps__kind__in=(StepKind.MEASURE, StepKind.READ))
    )
    of_methods = Need.objects.filter(method__limits__isnull=False)
    classes = DeviceClass.objects.filter(
        Q(limits__isnull=False) | Q(needs__in=of_methods) | Q(needs__in=of_tests)
    )
    return DeviceModel.objects.filter(served_classes__device_class__in=classes)
