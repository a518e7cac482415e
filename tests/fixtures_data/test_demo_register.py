"""The invented district's register: codes resolve, figures agree, gaps are where they are meant."""

import datetime as dt
from collections import Counter

import pytest

from tests.fixtures_data.tables import FIXTURES, catalogue, demo

REFERENCES = {
    "facilities": {"area": "areas"},
    "routes": {"origin": "facilities", "destination": "facilities"},
    "equipment": {"facility": "facilities", "device_model": "device_models"},
    "skills_held": {"facility": "facilities", "skill": "skills"},
    "infrastructure_held": {"facility": "facilities", "infrastructure": "infrastructure"},
    "demand": {"facility": "facilities", "test": "tests"},
    "rates": {"test": "tests"},
    "plan_earmarks": {"programme": "programmes"},
    "plan_floors": {"area": "areas"},
}
KEYS = {
    "areas": ("code",), "facilities": ("code",), "equipment": ("code",),
    "routes": ("origin", "destination"), "skills_held": ("facility", "skill"),
    "infrastructure_held": ("facility", "infrastructure"), "demand": ("facility", "test"),
    "rates": ("test",), "plan_earmarks": ("programme",), "plan_floors": ("area",),
}  # fmt: skip
# A reason that explains each condition; an item in use, or of unknown condition, has none.
REASONS = {
    "in_use": {""},
    "idle": {"no_reagent", "no_trained_user", "stored"},
    "repairable": {"fault"},
    "incomplete": {"missing_part"},
    "beyond_repair": {"fault", "obsolete"},
    "awaiting": {"not_installed", "awaiting_calibration"},
    "unknown": {""},
}
POWER_STEPS = {"none": 0, "battery": 1, "interruptible": 2, "stable": 3}
POWER = ["battery-power", "mains-power", "stable-power"]


def codes_of(name: str) -> set[str]:
    here = (FIXTURES / "demo" / f"{name}.csv").exists()
    return {row["code"] for row in (demo(name) if here else catalogue(name))}


@pytest.mark.parametrize("name", REFERENCES)
def test_every_code_that_a_file_names_is_in_the_file_it_names(name):
    assert [
        (column, row[column])
        for column, target in REFERENCES[name].items()
        for row in demo(name)
        if row[column] not in codes_of(target)
    ] == []


@pytest.mark.parametrize("name", KEYS)
def test_no_row_stands_twice(name):
    counts = Counter(tuple(row[column] for column in KEYS[name]) for row in demo(name))

    assert [key for key, count in counts.items() if count > 1] == []


def test_there_are_four_levels_of_care():
    assert Counter(row["level"] for row in demo("facilities")) == {"1": 40, "2": 16, "3": 5, "4": 1}


def test_every_block_has_a_hospital_three_or_four_centres_and_eight_posts():
    blocks = {row["code"] for row in demo("areas") if row["kind"] == "block"}
    found = {
        block: Counter(row["level"] for row in demo("facilities") if row["area"] == block)
        for block in blocks
    }

    assert len(blocks) == 5
    assert {(counts["1"], counts["3"]) for counts in found.values()} == {(8, 1)}
    assert {counts["2"] for counts in found.values()} == {3, 4}


def test_catchments_add_up_to_the_district():
    assert sum(int(row["population"]) for row in demo("facilities")) == 456_000


def test_larger_facilities_serve_more_people():
    by_level = {
        level: [int(row["population"]) for row in demo("facilities") if row["level"] == level]
        for level in "1234"
    }

    assert max(by_level["1"]) < min(by_level["2"])
    assert max(by_level["2"]) < min(by_level["3"]) < max(by_level["3"]) < min(by_level["4"])


def test_names_and_the_title_of_the_district_say_that_it_is_invented():
    [district] = [row for row in demo("areas") if row["kind"] == "district"]

    assert district["name"] == "Sorrelwater district (invented)"
    assert {row["basis"] for row in demo("demand")} == {"demo"}


def test_two_facilities_have_unknown_testing_hours_and_one_unknown_power():
    unknown_hours = [
        row["level"] for row in demo("facilities") if not row["testing_hours_per_year"]
    ]
    unknown_power = [row for row in demo("facilities") if row["power_source"] == "unknown"]

    assert sorted(unknown_hours) == ["1", "2"]
    assert [row["power_hours_per_day"] for row in unknown_power] == [""] * len(unknown_power)
    assert unknown_power


def test_power_held_agrees_with_the_source_of_power():
    held = {
        (row["facility"], row["infrastructure"]): row["presence"]
        for row in demo("infrastructure_held")
    }

    for row in demo("facilities"):
        if row["power_source"] == "unknown":
            expected = ["unknown"] * 3
        else:
            steps = POWER_STEPS[row["power_source"]]
            expected = ["present" if step < steps else "absent" for step in range(3)]
        assert [held[row["code"], item] for item in POWER] == expected, row["code"]


def test_who_has_heightened_biosafety_has_the_core():
    present = {
        (row["facility"], row["infrastructure"])
        for row in demo("infrastructure_held")
        if row["presence"] == "present"
    }

    heightened = {facility for facility, item in present if item == "heightened-biosafety"}

    assert heightened
    assert {(facility, "core-biosafety") for facility in heightened} <= present


def test_a_reason_fits_the_condition():
    assert [
        row["code"] for row in demo("equipment") if row["reason"] not in REASONS[row["condition"]]
    ] == []
    assert {row["condition"] for row in demo("equipment")} == set(REASONS)


def test_as_much_is_out_of_service_as_in_many_countries():
    """38.3 % of 112 040 devices (Perry and Malkin 2011), give or take five points."""
    known = [row["condition"] for row in demo("equipment") if row["condition"] != "unknown"]
    out = [condition for condition in known if condition not in ("in_use", "idle")]

    assert 0.333 <= len(out) / len(known) <= 0.433


def test_serial_numbers_are_unique_where_there_are_any():
    counts = Counter(row["serial_number"] for row in demo("equipment") if row["serial_number"])

    assert max(counts.values()) == 1
    assert len(counts) > 200


def test_nothing_was_seen_before_it_came_or_after_the_register_was_closed():
    for row in demo("equipment"):
        if row["received_on"] and row["observed_on"]:
            assert row["received_on"] < row["observed_on"], row["code"]
    seen = [row["observed_on"] for name in ("facilities", "equipment") for row in demo(name)]
    assert max(map(dt.date.fromisoformat, filter(None, seen))) <= dt.date(2026, 11, 25)


def test_only_skilled_people_have_a_day_of_training():
    assert [
        row
        for row in demo("skills_held")
        if bool(row["last_trained_on"]) != (int(row["staff_count"]) > 0)
    ] == []


def test_some_things_are_not_known():
    """Unknown is a row that says so, or no row at all; both occur."""
    presence = Counter(row["presence"] for row in demo("infrastructure_held"))
    skills = Counter(row["skill"] for row in demo("skills_held"))

    assert presence["unknown"] > 5
    assert skills["rapid-tests"] < 62
    assert any(not row["observed_on"] for row in demo("equipment"))


def test_the_readme_counts_what_is_there():
    readme = (FIXTURES / "demo" / "README.md").read_text(encoding="utf-8")
    known = [row["condition"] for row in demo("equipment") if row["condition"] != "unknown"]
    out = [condition for condition in known if condition not in ("in_use", "idle")]
    mendable = [condition for condition in out if condition in ("repairable", "incomplete")]

    assert f"{len(demo('equipment'))} items" in readme
    assert f"**Equipment**: {len(out) / len(known):.0%}".replace("%", " %") in readme
    assert len(mendable) > len(out) / 2
