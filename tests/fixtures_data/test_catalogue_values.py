"""Values are of the kind their attribute declares, and can be held against what is asked."""

import pytest

from tests.fixtures_data.district import staff_hours
from tests.fixtures_data.tables import catalogue, codes, value

# The Unified Code for Units of Measure, case sensitive form (from memory): standard
# acceleration is [g], a gram is g; minutes are min; a plain number is 1.
UCUM = {
    "1", "nm", "um", "mm", "cm", "m/s", "uL", "mL", "L", "g", "mg/L", "g/dL", "mmol/L",
    "s", "min", "h", "d", "/min", "/h", "L/h", "deg", "Cel", "W", "W.h", "V.A", "uS/cm", "%",
    "[g]",
}  # fmt: skip
# The end of an attribute's name and the unit it promises.
SUFFIXES = {
    "_g": {"[g]", "g"}, "_nm": {"nm"}, "_um": {"um"}, "_mm": {"mm"}, "_cm": {"cm", "uS/cm"},
    "_ml": {"mL"}, "_ul": {"uL"}, "_l": {"L", "mmol/L", "mg/L"}, "_min": {"min"},
    "_s": {"s", "m/s"}, "_h": {"h", "/h", "L/h"}, "_c": {"Cel"}, "_w": {"W"}, "_pct": {"%"},
    "_rpm": {"/min"}, "_dl": {"g/dL"}, "_deg": {"deg"},
}  # fmt: skip
COMPARABLE = {
    "min": {"number"},
    "max": {"number"},
    "between": {"number"},
    "covers": {"range"},
    "is": {"number", "text", "flag"},
    "has": {"list"},
}


def kinds() -> dict[tuple[str, str], str]:
    return {
        (row["device_class"], row["code"]): row["value_kind"] for row in catalogue("attributes")
    }


def is_number(part) -> bool:
    return isinstance(part, int | float) and not isinstance(part, bool)


def is_pair(part) -> bool:
    return (
        isinstance(part, list)
        and len(part) == 2
        and all(map(is_number, part))
        and part[0] <= part[1]
    )


def is_of(kind: str, found) -> bool:
    match kind:
        case "number":
            return is_number(found)
        case "range":
            return is_pair(found)
        case "text":
            return isinstance(found, str)
        case "flag":
            return isinstance(found, bool)
        case "list":
            return isinstance(found, list) and len({type(part) is str for part in found}) == 1
    raise AssertionError(kind)


def test_a_specification_has_the_kind_of_its_attribute():
    declared = kinds()

    assert [
        row
        for row in catalogue("specifications")
        if not is_of(declared[row["device_class"], row["attribute"]], value(row))
    ] == []


def test_a_requirement_compares_in_a_way_that_suits_the_kind_of_its_attribute():
    declared = kinds()
    needed = {(row["method"], row["position"]): row["device_class"] for row in catalogue("needs")}

    assert [
        row
        for row in catalogue("requirements")
        if declared[needed[row["method"], row["position"]], row["attribute"]]
        not in COMPARABLE[row["comparator"]]
    ] == []


def test_what_a_requirement_compares_with_has_the_shape_of_its_comparator():
    shapes = {"min": is_number, "max": is_number, "between": is_pair, "covers": is_pair}
    shapes["has"] = lambda found: isinstance(found, list) and bool(found)
    shapes["is"] = lambda found: not isinstance(found, list)

    assert [
        row for row in catalogue("requirements") if not shapes[row["comparator"]](value(row))
    ] == []


def test_units_are_ucum_codes_and_stand_only_where_there_is_something_to_measure():
    found = {row["ucum"] for row in catalogue("attributes")}
    of_words = {
        row["ucum"] for row in catalogue("attributes") if row["value_kind"] in ("flag", "text")
    }

    assert found - {""} <= UCUM
    assert of_words == {""}


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_the_end_of_an_attribute_names_its_unit(suffix):
    found = {row["ucum"] for row in catalogue("attributes") if row["code"].endswith(suffix)}

    assert found
    assert found <= SUFFIXES[suffix]


def test_relative_centrifugal_force_is_never_stored_as_a_gram():
    forces = [row for row in catalogue("attributes") if row["code"].startswith("rcf_")]

    assert {row["ucum"] for row in forces} == {"[g]"}
    assert all("r_max" in row["name"] for row in forces)


@pytest.mark.parametrize(
    ("name", "columns"),
    [
        ("skills", ("training_cost", "trainer_days", "supervision_cost")),
        ("infrastructure_costs", ("cost",)),
        ("device_models", ("price", "annual_cost", "repair_cost", "hours_per_year")),
        ("tests", ("weight",)),
        ("methods", ("minutes_per_batch", "minutes_per_sample", "consumable_cost", "sensitivity")),
        ("needs", ("minutes_per_run",)),
    ],
)
def test_figures_are_numbers_and_not_negative(name, columns):
    assert min(float(row[column]) for row in catalogue(name) for column in columns) >= 0


def test_sensitivity_is_a_share_and_staff_time_is_under_an_hour():
    assert {row["code"] for row in catalogue("methods") if not 0.3 < float(row["sensitivity"]) < 1
            } == set()  # fmt: skip
    assert max(map(staff_hours, catalogue("methods"))) < 1


def test_a_lesser_power_or_biosafety_is_part_of_the_greater():
    implied = {
        "stable-power": "mains-power",
        "mains-power": "battery-power",
        "heightened-biosafety": "core-biosafety",
    }

    for method in catalogue("methods"):
        asked = set(codes(method["infrastructure"]))
        assert {implied[item] for item in asked & set(implied)} <= asked, method["code"]


def test_no_plan_can_give_a_health_post_a_laboratory():
    levels = {
        row["level"]
        for row in catalogue("infrastructure_costs")
        if row["infrastructure"] == "laboratory-bench"
    }

    assert levels == {"2", "3", "4"}
