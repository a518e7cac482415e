"""The latest findings as grid, list and file: for whom, in what order, in how many queries."""

import csv
import io

import pytest

from apps.audit.exports import csv_text
from apps.coverage.exports import findings_csv
from apps.coverage.models import Assessment
from apps.coverage.selectors import (
    findings_across,
    findings_at,
    findings_for,
    grid,
    latest_assessment,
    tallies,
)
from apps.coverage.services import refresh_coverage
from tests.factories.accounts import make_person
from tests.factories.catalogue import make_programme, make_test
from tests.factories.facilities import make_block, make_district, make_facility
from tests.factories.inventory import make_demand


@pytest.fixture
def glucose(small):
    """Asked for at hill only, of another programme, and there is no method for it."""
    glucose = make_test("glucose", programme=make_programme("chronic"))
    make_demand(small.hill, glucose, 40)
    return glucose


@pytest.fixture
def officer(small):
    officer = make_person(role="health_officer")
    officer.stewardships.create(area=small.north)
    return officer


@pytest.fixture
def assessment(small, glucose):
    # An earlier one, of which nothing may be shown.
    refresh_coverage(area=small.north, by=None)
    return refresh_coverage(area=small.north, by=None)


def states(found) -> dict[str, list[str | None]]:
    return {row.facility.code: [cell and cell.state for cell in row.cells] for row in found.rows}


def test_a_grid_has_sites_by_tests_of_the_latest_assessment(small, officer, assessment):
    found = grid(officer, small.north)

    assert found.assessment == assessment
    assert [test.code for test in found.tests] == ["glucose", "haematocrit"]
    assert states(found) == {
        "hill": ["blocked", "runs"],
        "ford": ["not_expected", "blocked"],
        "mill": ["not_expected", "blocked"],
    }
    assert found.counts == {"blocked": 3, "runs": 1, "not_expected": 2}


@pytest.mark.parametrize(
    ("limits", "expected"),
    [
        ({"programme": "chronic"}, {"hill": ["blocked"], "ford": ["not_expected"],
                                    "mill": ["not_expected"]}),
        ({"test": "haematocrit"}, {"hill": ["runs"], "ford": ["blocked"], "mill": ["blocked"]}),
        ({"level": 2}, {"hill": ["blocked", "runs"]}),
        ({"block": "upper"}, {"hill": ["blocked", "runs"], "ford": ["not_expected", "blocked"],
                              "mill": ["not_expected", "blocked"]}),
        ({"block": "nowhere"}, {}),
        ({"state": "runs"}, {"hill": ["runs"]}),
        ({"state": "not_expected", "test": "haematocrit"}, {}),
    ],
)  # fmt: skip
def test_a_grid_is_narrowed_by_programme_test_level_block_and_state(
    small, officer, assessment, limits, expected
):
    assert states(grid(officer, small.north, **limits)) == expected


def test_the_counts_are_of_all_states_that_the_other_filters_leave(small, officer, assessment):
    found = grid(officer, small.north, test="haematocrit", state="runs")

    assert found.counts == {"runs": 1, "blocked": 2}


def test_before_the_first_assessment_the_cells_are_empty(small, officer):
    found = grid(officer, small.north)

    assert (found.assessment, found.counts) == (None, {})
    assert states(found) == {"hill": [None], "ford": [None], "mill": [None]}


def test_somebody_who_answers_for_one_block_sees_that_block(small, assessment):
    lower = make_block("lower", small.north)
    make_facility("dale", lower)
    steward = make_person("steward")
    steward.stewardships.create(area=lower)

    assert states(grid(steward, small.north)) == {"dale": [None, None]}
    assert list(findings_for(steward)) == []
    assert list(findings_at(steward, small.hill)) == []
    assert findings_across(steward, small.north, "haematocrit") == []


def test_findings_are_those_of_the_latest_assessment_of_each_district(small, officer, assessment):
    south = make_district("south")
    coast = make_facility("coast", south)
    officer.stewardships.create(area=south)
    other = refresh_coverage(area=south, by=None)

    found = findings_for(officer)

    assert {each.assessment for each in found} == {assessment, other}
    assert found.count() == 6 + 2
    assert {each.test.code: each.state for each in findings_at(officer, coast)} == {
        "glucose": "not_expected",
        "haematocrit": "not_expected",
    }


def test_one_test_is_followed_across_the_district(small, officer, assessment):
    found = findings_across(officer, small.north, "glucose")

    assert {each.facility.code: each.state for each in found} == {
        "hill": "blocked", "ford": "not_expected", "mill": "not_expected",
    }  # fmt: skip
    assert findings_across(officer, small.north, "nothing") == []


def test_tallies_count_the_tests_of_each_facility_by_state(small, assessment):
    assert tallies(assessment) == {
        small.hill.pk: {"blocked": 1, "runs": 1},
        small.ford.pk: {"not_expected": 1, "blocked": 1},
        small.mill.pk: {"not_expected": 1, "blocked": 1},
    }


def test_there_is_no_latest_assessment_before_the_first(small):
    assert latest_assessment(small.north) is None


@pytest.mark.parametrize("more", [0, 3])
def test_a_grid_takes_five_queries_however_many_sites_and_tests(
    small, officer, django_assert_num_queries, more
):
    for number in range(more):
        make_facility(f"site-{number}", small.upper)
        make_test(f"test-{number}")
    refresh_coverage(area=small.north, by=None)

    with django_assert_num_queries(5):
        found = grid(officer, small.north)
        [(cell.referred_to, row.facility.area.name) for row in found.rows for cell in row.cells]


# As a file.


def test_the_file_has_a_line_for_each_finding_with_what_is_lacking(small, officer, assessment):
    text = findings_csv(officer, small.north)

    rows = {
        (row["facility"], row["test"]): row
        for row in csv.DictReader(io.StringIO(text.removeprefix("\ufeff")))
    }
    assert len(rows) == 6
    assert rows["mill", "haematocrit"] == {
        "facility": "mill",
        "facility_name": "Mill",
        "area": "upper",
        "level": "1",
        "test": "haematocrit",
        "test_name": "Packed cell volume",
        "programme": "general",
        "state": "blocked",
        "method": "",
        "referred_to": "",
        "fix": "buy Spinner; train Staining; provide Running water",
        "fix_cost": "1600.5",
        "lacking": "Spun: centrifuge with rcf_g at least 10\N{NARROW NO-BREAK SPACE}000"
        "\N{NARROW NO-BREAK SPACE}g, Staining, Running water",
        "questions": "",
    }


def test_there_is_no_file_before_the_first_assessment(small, officer):
    with pytest.raises(Assessment.DoesNotExist):
        findings_csv(officer, small.north)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\tx", "\rx"])
def test_text_that_a_spreadsheet_would_run_is_kept_as_text(text):
    [_, row] = csv.reader(io.StringIO(csv_text(["a"], [[text]]), newline=""))

    assert row == [f"'{text}"]


@pytest.mark.parametrize("value", [-5, -0.5, 0, "a=b", "1-2", ""])
def test_numbers_and_other_text_are_written_as_they_are(value):
    [_, row] = csv.reader(io.StringIO(csv_text(["a", "b"], [[value, "x"]]), newline=""))

    assert row == [str(value), "x"]


def test_a_file_is_utf_8_with_a_mark_and_lines_as_rfc_4180_has_them():
    text = csv_text(["a", "b"], [["two\nlines", 'say "so", then'], [None, "\u00e4"]])

    assert text == '\ufeffa,b\r\n"two\nlines","say ""so"", then"\r\n,\u00e4\r\n'
