"""What facilities hold, and what is asked of them."""

from typing import Any

from apps.catalogue.models import DeviceModel, Infrastructure, LabTest, Skill
from apps.demand.models import Demand
from apps.facilities.models import Facility
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld


def make_item(facility: Facility, model: DeviceModel, condition: str = "in_use", **values: Any):
    code = f"{facility.code}-{EquipmentItem.objects.count() + 1}"
    fixed = {"code": code, "facility": facility, "device_model": model, "condition": condition}
    return EquipmentItem.objects.create(**{**fixed, **values})


def make_skill_held(facility: Facility, skill: Skill, staff_count: int = 1) -> SkillHeld:
    return SkillHeld.objects.create(facility=facility, skill=skill, staff_count=staff_count)


def make_infrastructure_held(
    facility: Facility, infrastructure: Infrastructure, presence: str = "present"
) -> InfrastructureHeld:
    return InfrastructureHeld.objects.create(
        facility=facility, infrastructure=infrastructure, presence=presence
    )


def make_demand(facility: Facility, test: LabTest, tests_per_year: float) -> Demand:
    return Demand.objects.create(
        facility=facility, test=test, tests_per_year=tests_per_year, basis="demo", year=2026
    )
