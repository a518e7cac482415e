"""What facilities hold, what was measured on it, and what is asked of them."""

import datetime as dt
from typing import Any

from apps.catalogue.models import Consumable, DeviceModel, Infrastructure, LabTest, Skill
from apps.demand.models import Demand
from apps.facilities.models import Facility
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
    Verification,
)


def make_item(facility: Facility, model: DeviceModel, condition: str = "in_use", **values: Any):
    code = f"{facility.code}-{EquipmentItem.objects.count() + 1}"
    fixed = {"code": code, "facility": facility, "device_model": model, "condition": condition}
    return EquipmentItem.objects.create(**{**fixed, **values})


def make_verification(item: EquipmentItem, **values: Any) -> Verification:
    """A pass of ``item`` in January 2026, valid for a year, that measured nothing."""
    place = {"facility": item.facility, "device_model": item.device_model}
    what = {"kind": "spin", "rule": "inspection", "subject": "centrifuge", "operator": "technician"}
    days = {"done_on": dt.date(2026, 1, 15), "valid_until": dt.date(2027, 1, 15)}
    kept = {"limits": {"subject_kind": "device_class", "subject_name": "Centrifuge", "limits": []}}
    answer = {"readings": {"columns": [], "rows": []}, "figures": {"checks": []}, "outcome": "pass"}
    if values.get("outcome", "pass") != "pass":
        days["valid_until"] = None
    code = f"{item.code}-v{item.verifications.count() + 1}"
    return Verification.objects.create(
        item=item,
        **{"code": code, **place, **what, **days, **kept, **answer, "reference": "x", **values},
    )


def make_skill_held(
    facility: Facility, skill: Skill, staff_count: int = 1, **values: Any
) -> SkillHeld:
    return SkillHeld.objects.create(
        facility=facility, skill=skill, staff_count=staff_count, **values
    )


def make_staff_held(facility: Facility, cadre: str = "K2", count: int = 1, **values: Any):
    return StaffHeld.objects.create(facility=facility, cadre=cadre, staff_count=count, **values)


def make_consumable_held(facility: Facility, consumable: Consumable, **values: Any):
    return ConsumableHeld.objects.create(facility=facility, consumable=consumable, **values)


def make_move(item: EquipmentItem, destination: Facility, **values: Any) -> Move:
    """A move in January 2026, written down; the item itself stays where it is."""
    fixed = {"origin": item.facility, "moved_on": dt.date(2026, 1, 15), "why": "needed there"}
    return Move.objects.create(item=item, destination=destination, **{**fixed, **values})


def make_service_entry(item: EquipmentItem, **values: Any) -> ServiceEntry:
    fixed = {"done_on": dt.date(2026, 1, 15), "kind": "preventive"}
    return ServiceEntry.objects.create(item=item, **{**fixed, **values})


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
