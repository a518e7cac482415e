from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Q, QuerySet

from apps.facilities.models import Area, Facility
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
)


def items_for(user: Any) -> QuerySet[EquipmentItem]:
    """Equipment of the open facilities that ``user`` may see; two queries."""
    return (
        EquipmentItem.objects.visible_to(user)
        .filter(facility__closed_on__isnull=True)
        .select_related("facility__area", "device_model")
    )


def equipment_in(
    user: Any,
    district: Area,
    *,
    device_class: str = "",
    condition: str = "",
    reason: str = "",
    text: str = "",
) -> QuerySet[EquipmentItem]:
    """Devices of ``district`` of a class, in a condition, for a reason, called so.

    Blank narrows nothing. By name of the facility and code; two queries.
    """
    items = items_for(user).within(district.path).order_by("facility__name", "code")
    if device_class:
        items = items.filter(device_model__served_classes__device_class__code=device_class)
    if condition:
        items = items.filter(condition=condition)
    if reason:
        items = items.filter(reason=reason)
    called = ("code", "serial_number", "device_model__name", "facility__name")
    named = (Q(**{f"{name}__icontains": text}) for name in called)
    return items.filter(reduce(or_, named)) if text else items


def items_at(facility: Facility) -> QuerySet[EquipmentItem]:
    """Equipment at ``facility``, each with its model; one query."""
    return EquipmentItem.objects.filter(facility=facility).select_related("device_model")


def skills_at(facility: Facility) -> QuerySet[SkillHeld]:
    """The skills counted at ``facility``; a skill without a row is not known. One query."""
    return SkillHeld.objects.filter(facility=facility).select_related("skill")


def infrastructure_at(facility: Facility) -> QuerySet[InfrastructureHeld]:
    """What is known of the infrastructure of ``facility``; one query."""
    return InfrastructureHeld.objects.filter(facility=facility).select_related("infrastructure")


def item_for(user: Any, code: str) -> EquipmentItem:
    """Item ``code``; raises ``EquipmentItem.DoesNotExist`` if ``user`` may not see it."""
    return items_for(user).get(code=code)


def staff_at(facility: Facility) -> QuerySet[StaffHeld]:
    """The cadres counted at ``facility``; a cadre without a row is not known. One query."""
    return StaffHeld.objects.filter(facility=facility)


def stock_at(facility: Facility) -> QuerySet[ConsumableHeld]:
    """What is known of the shelf of ``facility``, what runs out first before others; one query."""
    rows = ConsumableHeld.objects.filter(facility=facility).select_related("consumable")
    return rows.order_by("days_of_stock", "consumable__name")


def staff_in(user: Any, district: Area) -> QuerySet[StaffHeld]:
    """Cadres counted at the open facilities of ``district`` within reach; two queries."""
    rows = StaffHeld.objects.visible_to(user).within(district.path)
    return rows.filter(facility__closed_on__isnull=True).select_related("facility")


def skills_in(user: Any, district: Area) -> QuerySet[SkillHeld]:
    """Skills counted at the open facilities of ``district`` within reach; two queries."""
    rows = SkillHeld.objects.visible_to(user).within(district.path)
    return rows.filter(facility__closed_on__isnull=True).select_related("facility", "skill")


def moves_of(item: EquipmentItem) -> QuerySet[Move]:
    """Where ``item`` has been, newest first; one query."""
    return item.move_log.select_related("origin", "destination")


def service_log_of(item: EquipmentItem) -> QuerySet[ServiceEntry]:
    """What was done to ``item``, newest first; one query."""
    return item.serviceentry_log.all()
