"""The files of a register folder, in the order in which they build on each other."""

from collections.abc import Iterator, Mapping
from typing import Any

from apps.demand.models import Demand
from apps.facilities.choices import AreaKind
from apps.facilities.models import Area, Facility, ReferralRoute
from apps.imports.adapters.identifiers import IDENTIFIERS
from apps.imports.adapters.known import Known
from apps.imports.adapters.prevalences import PREVALENCES
from apps.imports.adapters.sheets import Sheet
from apps.imports.adapters.statistics import CONSUMPTION, RATES, STATISTICS
from apps.imports.adapters.travel_times import TRAVEL_TIMES
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
)


def check_area(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    if row["kind"] == AreaKind.BLOCK and row["parent"] is None:
        yield "parent is empty, expected the code of the district or block that it lies in."
    if row["kind"] == AreaKind.DISTRICT and row["parent"] is not None:
        yield "a district lies in no other area. Leave parent empty, or make it a block."
    present = known.of(Area).get((row["code"],))
    if present is not None and known.fact(Area, present, "parent") != row["parent"]:
        # The paths of everything below would have to follow, and with them who may see it.
        yield "the area is already there, under another parent. Load it under a new code."


def check_route(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    if row["origin"] == row["destination"]:
        yield "origin and destination are the same facility. Name two, or remove the row."
    if row["cost_per_specimen"] < 0:
        yield f"cost_per_specimen is {row['cost_per_specimen']}, expected 0 or more."


AMENITIES = (
    "power_available_w", "open_days_per_week", "open_hours_per_day", "water_source",
    "water_hours_per_day", "cold_storage_litres", "cold_holdover_hours", "connectivity",
    "biosafety", "basis", "observer",
)  # fmt: skip
EQUIPMENT_FILE = (
    "manufacturer", "supplier", "software_version", "manufactured_on", "purchased_on",
    "accepted_on", "in_service_on", "condition_when_received", "conformity_document", "location",
    "instructions_held", "maintenance_programme", "last_calibrated_on", "calibration_due_on",
    "last_serviced_on", "service_due_on", "warranty_until", "contract", "contract_until",
    "purchase_cost", "contact", "observer",
)  # fmt: skip
TRAINING = ("last_supervised_on", "observer")
COURIER = ("collection_weekdays", "collection_hour", "travel_hours", "queue_hours")

SHEETS = (
    Sheet(
        "areas.csv",
        Area,
        ("code", "name", "kind", "parent", "currency"),
        check=check_area,
        one_by_one=True,
    ),
    Sheet(
        "facilities.csv",
        Facility,
        ("code", "name", "area", "level", "latitude", "longitude", "population",
         "testing_hours_per_year", "power_source", "power_hours_per_day", "observed_on",
         *AMENITIES),
        optional=frozenset(AMENITIES),
    ),
    Sheet(
        "routes.csv",
        ReferralRoute,
        ("origin", "destination", "hours", "cost_per_specimen", *COURIER),
        key=("origin", "destination"),
        check=check_route,
        optional=frozenset(COURIER),
    ),
    TRAVEL_TIMES,
    Sheet(
        "equipment.csv",
        EquipmentItem,
        ("code", "facility", "device_model", "serial_number", "condition", "reason",
         "received_on", "observed_on", "basis", "note", *EQUIPMENT_FILE),
        optional=frozenset(EQUIPMENT_FILE),
    ),
    Sheet(
        "skills_held.csv",
        SkillHeld,
        ("facility", "skill", "staff_count", "last_trained_on", "observed_on", "basis", *TRAINING),
        key=("facility", "skill"),
        optional=frozenset(TRAINING),
    ),
    Sheet(
        "staff_held.csv",
        StaffHeld,
        ("facility", "cadre", "staff_count", "testing_hours_per_week", "observed_on", "basis",
         "observer"),
        key=("facility", "cadre"),
        optional=frozenset({"observer"}),
    ),
    Sheet(
        "consumables_held.csv",
        ConsumableHeld,
        ("facility", "consumable", "days_of_stock", "expires_on", "observed_on", "basis",
         "observer"),
        key=("facility", "consumable"),
        optional=frozenset({"observer"}),
    ),
    Sheet(
        "service_log.csv",
        ServiceEntry,
        ("item", "done_on", "kind", "cause", "parts", "days_down", "cost", "done_by",
         "next_due_on", "note"),
        key=("item", "done_on", "kind"),
    ),
    Sheet(
        "moves.csv",
        Move,
        ("item", "moved_on", "origin", "origin_location", "destination", "destination_location",
         "why"),
        key=("item", "moved_on"),
    ),
    Sheet(
        "infrastructure_held.csv",
        InfrastructureHeld,
        ("facility", "infrastructure", "presence", "observed_on", "basis"),
        key=("facility", "infrastructure"),
    ),
    Sheet(
        "demand.csv",
        Demand,
        ("facility", "test", "tests_per_year", "basis", "year"),
        key=("facility", "test"),
    ),
    STATISTICS,
    CONSUMPTION,
    RATES,
    PREVALENCES,
    IDENTIFIERS,
)  # fmt: skip
