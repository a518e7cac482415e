"""``manage.py frontier``: what it prints where, and how it ends."""

import csv
import io
import json

import pytest
from django.core.management import CommandError, call_command

from apps.plans.management.commands import frontier as frontier_command
from planner.engine.allocation import Frontier
from planner.engine.allocation.frontier import Point, Step
from planner.engine.errors import NoPlanError
from tests.factories.documents import EXAMPLE_PATH, example

FOUND = Frontier(
    today=10.0,
    points=(Point(0.0, 10.0, 10.0), Point(2000.0, 40.0, 41.0)),
    steps=(Step(0.0, 2000.0, 15.0, 15.5),),
    useful=2000.0,
    diminishing=None,
)


@pytest.fixture
def engine(monkeypatch):
    """An engine that notes what it is asked."""
    asked = {}

    def frontier(case, **given):
        asked.update(given)
        return FOUND

    monkeypatch.setattr(frontier_command, "frontier", frontier)
    return asked


def test_the_example_costs_what_its_plan_of_1500_is_known_to_achieve(capsys):
    """10 525 for 1 500: found by an independent solver that shares no code with the engine."""
    call_command("frontier", EXAMPLE_PATH, "--budgets", "2", "--gap", "0", "--format", "json")

    found = json.loads(capsys.readouterr().out)
    first, last = found["points"]
    assert first["budget"] == 0
    assert first["value"] < 10_525 < last["value"]
    assert found["today"] == 0
    assert found["currency"] == "USD"


def test_a_table_shows_each_budget_and_what_the_next_1000_bring(capsys, engine):
    call_command("frontier", EXAMPLE_PATH)

    assert capsys.readouterr().out.splitlines() == [
        "        budget           plan  no plan above       gap  each further 1 000 brings",
        "             0           10.0           10.0    0.000%  15.0 to 15.5",
        "         2,000           40.0           41.0    2.500%  ",
        "today 10.0; plans in weighted correct tests a year",
        "more than 2,000 USD is of no further use",
    ]


def test_csv_leaves_the_step_after_the_last_budget_blank(capsys, engine):
    call_command("frontier", EXAMPLE_PATH, "--format", "csv")

    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [(row["budget"], row["more_per_1000_most"]) for row in rows] == [
        ("0.0", "15.5"),
        ("2000.0", ""),
    ]


def test_it_asks_for_as_many_budgets_as_wanted_and_writes_to_a_file(capsys, engine, tmp_path):
    out = tmp_path / "frontier.json"

    call_command(
        "frontier", EXAMPLE_PATH, "--budgets", "7", "--seconds", "9", "--format", "json",
        "--out", out,
    )  # fmt: skip

    assert (engine["points"], engine["seconds"], engine["gap"]) == (7, 9.0, 0.001)
    assert json.loads(out.read_text(encoding="utf-8"))["useful"] == 2000.0
    assert capsys.readouterr().out == ""


def test_no_point_in_time_gives_exit_code_1(monkeypatch):
    def frontier(case, **given):
        raise NoPlanError("No plan was found.", remedy="Allow more time.")

    monkeypatch.setattr(frontier_command, "frontier", frontier)

    with pytest.raises(CommandError) as refused:
        call_command("frontier", EXAMPLE_PATH)

    assert refused.value.returncode == 1
    assert str(refused.value) == "No plan was found. Allow more time."


def test_a_case_with_mistakes_gives_exit_code_2(capsys, tmp_path):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(example((("limits", "capital"), -1))), encoding="utf-8")

    with pytest.raises(CommandError) as refused:
        call_command("frontier", path)

    assert refused.value.returncode == 2


@pytest.mark.parametrize("budgets", ["1", "0", "-3", "many"])
def test_fewer_than_two_budgets_are_refused(budgets):
    with pytest.raises(CommandError, match=f"found {budgets}"):
        call_command("frontier", EXAMPLE_PATH, f"--budgets={budgets}")
