"""What a result of version 2 says, on its way into lines, exports and the page of a plan."""

import csv
import io

import pytest

from apps.coverage.adapters import Frozen
from apps.plans import exports
from apps.plans.adapters import lines, summary
from apps.plans.models import Line
from apps.web.plan_parts import arranged
from planner.engine.allocation import plan as best_plan
from planner.engine.allocation import today
from planner.engine.case import Case
from tests.factories.facilities import make_facility
from tests.factories.plans import make_run
from tests.factories.results import FIXTURES

CASE = Case.read(FIXTURES / "cases" / "asking-more.json")


@pytest.fixture
def result():
    return best_plan(CASE, gap=0)


@pytest.fixture
def run(plan, small, result):
    for site in CASE.sites:
        make_facility(site.code, small.upper)
    run = make_run(plan)
    Line.objects.bulk_create(lines(run, CASE, result))
    return run


def test_a_unit_that_is_moved_is_a_line_of_where_it_comes_to(run):
    [moved] = run.lines.filter(kind="move")

    assert (moved.facility.code, moved.item_name, moved.get_kind_display()) == (
        "cedar", "Strip reader", "Move"
    )  # fmt: skip
    assert moved.reason.startswith("Brought from Elm health centre. ")


def test_a_move_is_exported_like_any_action(run):
    rows = list(csv.reader(io.StringIO(exports.lines_csv(run).removeprefix("\ufeff"))))

    assert [row[:1] + row[3:5] + row[6:8] for row in rows if "move" in row] == [
        ["cedar", "move", "reader", "1", "30.0"]
    ]


def test_the_page_shows_it_under_its_site(run):
    sites = {each.facility.code: each.lines for each in arranged(run.lines.all(), "site", {}, {})}

    assert [line.kind for line in sites["cedar"]] == ["buy", "move", "train"]


def test_the_summary_counts_moves_where_there_are_any(result):
    frozen = Frozen(CASE, (), (), ())

    told = summary(frozen, result, today(CASE))

    assert told["actions"] == {"buy": 3, "repair": 1, "train": 1, "provide": 0, "move": 1}
