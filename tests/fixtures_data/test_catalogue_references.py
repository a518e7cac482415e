"""Every code in the catalogue leads somewhere, and no code or pair stands twice."""

import re
from collections import Counter

import pytest

from tests.fixtures_data.tables import catalogue, codes

# What no method asks a device for: it is paid for with infrastructure and with routes.
WITHOUT_MODELS = {"water-still", "power-supply", "specimen-carrier"}
# file: column -> file whose codes it names; columns that list codes end in "[]", columns that
# may be empty in "?".
REFERENCES = {
    "skills": {"source": "sources"},
    "infrastructure": {"source": "sources"},
    "infrastructure_costs": {"infrastructure": "infrastructure"},
    "attributes": {"device_class": "device_classes"},
    "device_models": {"source": "sources", "programmes[]": "programmes"},
    "served_classes": {"device_model": "device_models", "device_class": "device_classes"},
    "specifications": {"source": "sources", "device_model": "device_models"},
    "tests": {"source": "sources", "programme": "programmes"},
    "methods": {
        "source": "sources",
        "sensitivity_source": "sources",
        "specificity_source?": "sources",
        "test": "tests",
        "skills[]": "skills",
        "infrastructure[]": "infrastructure",
    },
    "needs": {"source": "sources", "method": "methods", "device_class": "device_classes"},
    "requirements": {"source": "sources", "method": "methods"},
    "planning_ranges": {"source": "sources", "device_class": "device_classes"},
    "spin_procedures": {"source": "sources"},
    "method_steps": {"source": "sources", "method": "methods", "spin?": "spin_procedures"},
    "quality_controls": {"source": "sources", "method": "methods"},
    "consumables": {"source": "sources"},
    "method_consumables": {"source": "sources", "method": "methods", "consumable": "consumables"},
    "verification_limits": {
        "source": "sources",
        "device_class?": "device_classes",
        "method?": "methods",
        "test?": "tests",
    },
    "studies": {"source": "sources", "device_model?": "device_models", "method?": "methods"},
}
KEYS = {
    **dict.fromkeys(
        (
            "sources", "programmes", "skills", "infrastructure", "device_classes",
            "device_models", "tests", "methods", "spin_procedures", "consumables",
            "verification_limits", "studies",
        ),
        ("code",),
    ),
    "infrastructure_costs": ("infrastructure", "level"),
    "attributes": ("device_class", "code"),
    "served_classes": ("device_model", "device_class"),
    "specifications": ("device_model", "device_class", "attribute"),
    "needs": ("method", "position"),
    "requirements": ("method", "position", "attribute"),
    "planning_ranges": ("device_class", "variant", "measure"),
    "method_steps": ("method", "position"),
    "quality_controls": ("method", "kind"),
    "method_consumables": ("method", "consumable"),
}  # fmt: skip
CODE = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
ATTRIBUTE = re.compile(r"[a-z0-9]+(_[a-z0-9]+)*")


def named(row: dict[str, str], column: str) -> list[str]:
    if column.endswith("[]"):
        return codes(row[column[:-2]])
    if column.endswith("?"):
        return [code for code in [row[column[:-1]]] if code]
    return [row[column]]


@pytest.mark.parametrize("name", REFERENCES)
def test_every_code_that_a_file_names_is_in_the_file_it_names(name):
    dangling = [
        (column, code)
        for column, target in REFERENCES[name].items()
        for row in catalogue(name)
        for code in named(row, column)
        if code not in {known["code"] for known in catalogue(target)}
    ]

    assert dangling == []


@pytest.mark.parametrize("name", KEYS)
def test_no_row_stands_twice(name):
    counts = Counter(tuple(row[column] for column in KEYS[name]) for row in catalogue(name))

    assert [key for key, count in counts.items() if count > 1] == []
    assert counts


def test_codes_are_lower_case_letters_digits_and_hyphens():
    names = [name for name, key in KEYS.items() if key == ("code",)]

    assert [
        row["code"] for name in names for row in catalogue(name) if not CODE.fullmatch(row["code"])
    ] == []


def test_attributes_are_written_as_the_engine_shows_them():
    assert [
        row["code"] for row in catalogue("attributes") if not ATTRIBUTE.fullmatch(row["code"])
    ] == []


def test_a_specification_is_of_a_class_that_the_model_serves_and_of_an_attribute_of_that_class():
    served = {(row["device_model"], row["device_class"]) for row in catalogue("served_classes")}
    attributes = {(row["device_class"], row["code"]) for row in catalogue("attributes")}

    assert [
        row
        for row in catalogue("specifications")
        if (row["device_model"], row["device_class"]) not in served
        or (row["device_class"], row["attribute"]) not in attributes
    ] == []


def test_a_requirement_asks_for_an_attribute_of_the_class_that_is_needed():
    needed = {(row["method"], row["position"]): row["device_class"] for row in catalogue("needs")}
    attributes = {(row["device_class"], row["code"]) for row in catalogue("attributes")}

    assert [
        row
        for row in catalogue("requirements")
        if (needed.get((row["method"], row["position"])), row["attribute"]) not in attributes
    ] == []


def test_needs_are_numbered_from_one_without_gaps():
    positions: dict[str, list[int]] = {}
    for row in catalogue("needs"):
        positions.setdefault(row["method"], []).append(int(row["position"]))

    assert {
        method: found
        for method, found in positions.items()
        if found != list(range(1, len(found) + 1))
    } == {}


def test_every_test_has_a_method_and_every_class_a_model():
    with_method = {row["test"] for row in catalogue("methods")}
    with_model = {row["device_class"] for row in catalogue("served_classes")}

    assert {row["code"] for row in catalogue("tests")} == with_method
    assert {row["code"] for row in catalogue("device_classes")} == with_model | WITHOUT_MODELS


def test_every_skill_infrastructure_item_and_class_is_needed_by_a_method():
    methods = catalogue("methods")
    skills = {code for row in methods for code in codes(row["skills"])}
    infrastructure = {code for row in methods for code in codes(row["infrastructure"])}

    assert skills == {row["code"] for row in catalogue("skills")}
    assert infrastructure == {row["code"] for row in catalogue("infrastructure")}
    assert {row["device_class"] for row in catalogue("needs")} | WITHOUT_MODELS == {
        row["code"] for row in catalogue("device_classes")
    }
