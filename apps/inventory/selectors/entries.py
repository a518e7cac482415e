"""The row that an entry is about: as it stands, or a new one of which nothing is known yet."""

from typing import Any

from apps.catalogue.models import Consumable, Infrastructure, Skill
from apps.facilities.models import Facility
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
)


def staff_row(facility: Facility, cadre: str) -> StaffHeld:
    """Of one cadre at ``facility``; one query."""
    return _row(StaffHeld, facility, cadre=cadre)


def skill_row(facility: Facility, code: str) -> SkillHeld:
    """Of the skill ``code``; raises ``Skill.DoesNotExist``; two queries, as those below."""
    return _row(SkillHeld, facility, skill=Skill.objects.get(code=code))


def infrastructure_row(facility: Facility, code: str) -> InfrastructureHeld:
    return _row(InfrastructureHeld, facility, infrastructure=Infrastructure.objects.get(code=code))


def stock_row(facility: Facility, code: str) -> ConsumableHeld:
    return _row(ConsumableHeld, facility, consumable=Consumable.objects.get(code=code))


def new_item(facility: Facility) -> EquipmentItem:
    return EquipmentItem(facility=facility)


def new_service(item: EquipmentItem) -> ServiceEntry:
    return ServiceEntry(item=item)


def _row(model: Any, facility: Facility, **key: Any) -> Any:
    found = model.objects.filter(facility=facility, **key).first()
    return found or model(facility=facility, **key)
