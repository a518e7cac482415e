"""A wrong value or key is one line: its place, what the format has there, what was found."""

import json

import pytest

from planner.engine.case import Case
from planner.engine.errors import InputError
from tests.factories.documents import EXAMPLE, example, numbers, part_at, without
from tests.factories.refusals import problems

CAPITAL = ("limits", "capital")
FLOOR = ("areas", 0, "floor")
COST = ("infrastructure", 0, "cost")
RCF = ("methods", 1, "needs", 0, "require", "rcf_g")
LINES = [
    (("sites", 2, "demand", "malaria"), "many", 'expected a number ≥ 0, found "many"'),
    (CAPITAL, -0.01, "expected a number ≥ 0, found -0.01"),
    (CAPITAL, True, "expected a number ≥ 0, found true"),
    (CAPITAL, None, "expected a number ≥ 0, found null"),
    (CAPITAL, float("nan"), "expected a number ≥ 0, found NaN"),
    (CAPITAL, float("inf"), "expected a number ≥ 0, found infinity (numbers end at 1.8e308)"),
    (CAPITAL, float("-inf"), "expected a number ≥ 0, found -infinity (numbers end at 1.8e308)"),
    (CAPITAL, 10**400, f"expected a number ≥ 0, found 1{'0' * 59}..."),
    (("limits", "recurrent"), "none", 'expected a number ≥ 0 or null, found "none"'),
    (FLOOR, -0.01, "expected a number from 0 to 1, found -0.01"),
    (FLOOR, 1.01, "expected a number from 0 to 1, found 1.01"),
    (FLOOR, "half", 'expected a number from 0 to 1, found "half"'),
    (("sites", 0, "latitude"), 90.5, "expected a number from -90 to 90, found 90.5"),
    (("sites", 0, "longitude"), -181, "expected a number from -180 to 180, found -181"),
    (("stock", 0, "broken"), 0.5, "expected a whole number from 0 to 9007199254740991, found 0.5"),
    (("stock", 0, "broken"), -1, "expected a whole number from 0 to 9007199254740991, found -1"),
    (("limits", "max_units"), 2**53,
     "expected a whole number from 0 to 9007199254740991, found 9007199254740992"),
    (("version",), 3, "expected one of 1, 2, found 3"),
    (("version",), "1", 'expected one of 1, 2, found "1"'),
    (("version",), True, "expected one of 1, 2, found true"),
    (("format",), "case", 'expected "benchward-case", found "case"'),
    (("title",), 7, "expected text, found 7"),
    (("currency",), "usd", 'expected a three-letter ISO 4217 code in capitals, found "usd"'),
    (("currency",), 840, "expected a three-letter ISO 4217 code in capitals, found 840"),
    (("minimum_evidence",), "E", 'expected one of "A", "B", "C", "D", found "E"'),
    (("tests",), {}, "expected a list, found {}"),
    (("stock", 0), "ashbrook", 'expected an object, found "ashbrook"'),
    (("sites", 0, "name"), None, "expected text, found null"),
    (("sites", 0, "demand"), [900], "expected an object, found [900]"),
    (RCF, 12000, "expected an object with exactly one of the keys min, max, between, covers, is, "
                 "has, found 12000"),
    (RCF, {"between": [2, 1]}, "expected two numbers [low, high] after between, the lower one "
                               'first, found {"between": [2, 1]}'),
    (("device_models", 0, "serves", 0, "specs", "na"), None,
     "expected a number, text, true or false, or a list of those, found null"),
]  # fmt: skip


@pytest.mark.parametrize(("steps", "value", "line"), LINES, ids=lambda part: str(part)[:40])
def test_a_wrong_value_is_one_line_of_place_expectation_and_finding(steps, value, line):
    place = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps)

    assert problems(example((steps, value))) == [f"{place[1:]}: {line}"]


@pytest.mark.parametrize(
    ("steps", "value"),
    [
        (CAPITAL, 0),
        (CAPITAL, 1.7976931348623157e308),
        (("limits", "recurrent"), None),
        (FLOOR, 0),
        (FLOOR, 1),
        (("sites", 0, "latitude"), 90),
        (("sites", 0, "longitude"), -180),
        (("stock", 0, "broken"), 2.0),
        (("limits", "max_units"), 2**53 - 1),
        (("sites", 0, "name"), ""),
        (RCF, {"between": [2, 2]}),
        (("device_models", 0, "serves", 0, "specs", "na"), []),
        (COST, {"0": 1}),
    ],
)
def test_a_value_on_the_boundary_is_accepted(steps, value):
    assert part_at(Case.read(json.dumps(example((steps, value)))).to_json(), steps) == value


@pytest.mark.parametrize(
    ("document", "lines"),
    [
        (without("sites", 0, "latitude"),
         ["sites[0].latitude: this key is missing; expected a number from -90 to 90"]),
        (without("limits"), ["limits: this key is missing; expected an object"]),
        (example((("sites", 0, "latitud"), 1.1)),
         ["sites[0].latitud: unknown key; did you mean latitude?"]),
        (example((("methods", 0, "needs", 0, "qqq"), 1)),
         ["methods[0].needs[0].qqq: unknown key"]),
        (example((("a.b\n", ), 1)), [r'["a.b\n"]: unknown key']),
        (example((("a" * 100, ), 1)), [f"{'a' * 100}: unknown key"]),
        (example((("a" * 101, ), 1)), [f'["{"a" * 59}...]: unknown key']),
        (example(((*COST, "II"), 5)),
         ['infrastructure[0].cost: expected each key to be a level as text in plain digits, '
          'such as "2", found "II"']),
        (example(((*COST, "01"), 5)),
         ['infrastructure[0].cost: expected each key to be a level as text in plain digits, '
          'such as "2", found "01"']),
        (example((("device_models", 0, "serves", 0, "specs", ""), 5)),
         ['device_models[0].serves[0].specs: expected each key to be text of 1 to 100 characters, '
          'found ""']),
        (example((("sites", 0, "population"), "a" * 70)),
         [f'sites[0].population: expected a number ≥ 0, found "{"a" * 59}...']),
    ],
)  # fmt: skip
def test_a_wrong_key_is_named_with_what_the_format_has_there(document, lines):
    assert problems(document) == lines


def accepts(document) -> bool:
    try:
        Case.read(json.dumps(document))
    except InputError:
        return False
    return True


def name_at(steps) -> str:
    """The last key on the way to a place: what the number there is called."""
    return next(step for step in reversed(steps) if isinstance(step, str))


def test_no_number_may_be_negative_but_positions_specifications_and_conditions():
    negative = {name_at(at) for at in numbers(EXAMPLE) if accepts(example((at, -1)))}

    assert negative == {
        *("latitude", "longitude"),
        *("magnification", "na", "rcf_g", "capillaries", "tubes", "wavelengths_nm", "cv_pct"),
        *("min", "max", "between", "has"),
    }


def test_no_number_ends_below_a_thousand_but_shares_positions_and_lower_ends():
    limited = {name_at(at) for at in numbers(EXAMPLE) if not accepts(example((at, 1000)))}

    assert limited == {"version", "floor", "sensitivity", "latitude", "longitude", "between"}


def test_a_case_without_sites_is_refused():
    document = example((("sites",), []), (("stock",), []), (("links",), []))

    assert problems(document) == ["sites: expected a list with at least one entry, found []"]


def test_wrong_entries_are_not_also_reported_as_a_list_that_is_too_short():
    document = example((("sites",), [EXAMPLE["sites"][1]]), (("links",), []), (("stock",), []))
    document["sites"][0] = {**document["sites"][0], "level": "two"}

    assert problems(document) == [
        'sites[0].level: expected a whole number from 0 to 9007199254740991, found "two"'
    ]
