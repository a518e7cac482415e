"""Limits, controls and shares in words."""

from types import SimpleNamespace

import pytest

from apps.web.limits import how_often, limits
from apps.web.studies import ShareWords, share_of_study

ROW = {
    "device_class": "Centrifuge",
    "method": None,
    "test": None,
    "low": None,
    "high": None,
    "ucum": "1",
    "share_within": None,
    "range_low": None,
    "range_high": None,
    "range_ucum": "",
}
NOTHING = {
    f"{name}{end}": None for name in ("sensitivity", "specificity") for end in ("", "_low", "_high")
}


def words(**values) -> tuple[str, str]:
    [limit] = limits([SimpleNamespace(**{**ROW, **values})])
    return limit.words, limit.range


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"low": -10, "high": 10, "ucum": "%"}, "±10 %"),
        ({"low": -10, "high": 20, "ucum": "%"}, "-10 to 20 %"),
        ({"high": 2, "ucum": "Cel"}, "at most 2 °C"),
        ({"low": 0.95}, "at least 0.95"),
        ({"low": -15, "high": 15, "ucum": "%", "share_within": 0.95}, None),
    ],
)
def test_a_limit_is_written_with_the_ends_it_has_and_people_s_units(values, said):
    if said is None:
        said = "±15 %, for 95\N{NO-BREAK SPACE}% of results"

    assert words(**values) == (said, "")


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(None, 100, "below 100 mg/dL"), (100, None, "from 100 mg/dL"), (5, 10, "5 to 10 mg/dL")],
)
def test_a_limit_says_for_which_values_it_holds(low, high, said):
    found = words(high=1, range_low=low, range_high=high, range_ucum="mg/dL")

    assert found == ("at most 1", said)


@pytest.mark.parametrize(
    ("every", "interval", "said"),
    [
        (1, "tests", "every test"),
        (20, "tests", "every 20 tests"),
        (1, "lot", "every lot of reagent"),
        (3, "month", "every 3 months"),
    ],
)
def test_a_control_says_how_often_it_is_due(every, interval, said):
    plural = {"tests": "tests", "month": "months", "lot": "lots of reagent"}[interval]
    control = SimpleNamespace(every=every, interval=interval, get_interval_display=lambda: plural)

    assert how_often(control) == said


def study(**values) -> SimpleNamespace:
    counts = {"true_positive": None, "false_negative": None}
    return SimpleNamespace(**{**NOTHING, **counts, **values})


def sensitivity(**values) -> ShareWords | None:
    return share_of_study(study(**values), "sensitivity", "true_positive", "false_negative")


def test_a_share_that_was_not_reported_is_none_and_not_zero():
    assert sensitivity() is None
    assert sensitivity(true_positive=0, false_negative=0) is None


def test_a_reported_share_keeps_its_own_interval():
    found = sensitivity(sensitivity=0.919, sensitivity_low=0.848, sensitivity_high=0.965)

    # rK39: 91.9 (84.8-96.5), Cochrane CD009135
    assert found == ShareWords("91.9\N{NO-BREAK SPACE}% (84.8–96.5)")


def test_a_range_without_a_share_is_shown_as_the_range():
    assert sensitivity(sensitivity_low=0.74, sensitivity_high=0.86) == ShareWords("74.0–86.0")


def test_from_counts_the_share_and_its_score_interval_are_worked_out_and_said_to_be():
    # 81 of 263: score interval 0.2553 to 0.3662 (Newcombe 1998, table I, method 3)
    found = sensitivity(true_positive=81, false_negative=182)

    assert found == ShareWords("30.8\N{NO-BREAK SPACE}% (25.5–36.6)", ours=True)
