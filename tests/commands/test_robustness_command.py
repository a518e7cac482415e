"""``manage.py robustness``: what it prints where, and how it ends."""

import csv
import io
import json

import pytest
from django.core.management import CommandError, call_command

from planner.engine.allocation import plan
from planner.engine.case import Case
from tests.factories.documents import EXAMPLE_PATH


@pytest.fixture(scope="module")
def result_path(tmp_path_factory):
    """The plan for the example, as a file."""
    path = tmp_path_factory.mktemp("results") / "result.json"
    path.write_text(json.dumps(plan(Case.read(EXAMPLE_PATH), gap=0).to_json()))
    return path


def run(*given):
    call_command("robustness", EXAMPLE_PATH, *given, "--processes", "1")


def test_every_action_of_the_plan_is_a_row_and_figures_go_to_the_other_stream(capsys, result_path):
    run(result_path, "--draws", "3")

    told = capsys.readouterr()
    rows = list(csv.DictReader(io.StringIO(told.out)))
    planned = [row for row in rows if row["planned"] == "True"]
    assert len(planned) == len(json.loads(result_path.read_text())["actions"])
    assert {row["standing"] for row in rows} <= {"safe", "depends", "rarely"}
    assert told.err.splitlines()[0] == "draws      3 of 3, seed 1"


def test_json_states_each_assumption_with_its_kind_and_source(capsys, result_path):
    run(result_path, "--draws", "2", "--format", "json", "--seed", "7")

    found = json.loads(capsys.readouterr().out)
    assert (found["draws"], found["seed"], found["currency"]) == (2, 7, "USD")
    assert found["assumptions"]["prices"]["value"] == 0.15
    assert all(each["kind"] and each["source"] for each in found["assumptions"].values())


def test_the_same_seed_writes_the_same_file(tmp_path, capsys, result_path):
    for name in ("one.json", "two.json"):
        run(result_path, "--draws", "2", "--format", "json", "--out", str(tmp_path / name))

    assert (tmp_path / "one.json").read_bytes() == (tmp_path / "two.json").read_bytes()
    assert "safe to order now" in capsys.readouterr().out


def test_a_result_that_does_not_hold_is_refused(tmp_path, result_path):
    document = json.loads(result_path.read_text())
    path = tmp_path / "wrong.json"
    path.write_text(json.dumps({**document, "objective": document["objective"] + 5}))

    with pytest.raises(CommandError) as refused:
        run(path)

    assert "is no plan for" in str(refused.value)
    assert refused.value.returncode == 1


@pytest.mark.parametrize("option", [("--draws", "0"), ("--processes", "0"), ("--seed", "-1")])
def test_a_number_that_cannot_be_is_refused(option, result_path):
    with pytest.raises(CommandError, match=r"expected a whole number|argument --seed"):
        call_command("robustness", EXAMPLE_PATH, result_path, *option)
