from typing import Any

from django.db.models import QuerySet

from apps.facilities.models import Facility
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld


def items_for(user: Any) -> QuerySet[EquipmentItem]:
    """Equipment of the open facilities that ``user`` may see; two queries."""
    return (
        EquipmentItem.objects.visible_to(user)
        .filter(facility__closed_on__isnull=True)
        .select_related("facility__area", "device_model")
    )


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
