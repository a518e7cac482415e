"""``manage.py verify``, on a plan that does nothing: allowed once the example has no floors."""

import json

import pytest
from django.core.management import CommandError, call_command

from planner.engine.case import Case
from tests.commands.command_line import run
from tests.factories.documents import EXAMPLE_PATH, example

CASE = example((("areas", 1, "floor"), 0))
RESULT = {
    "format": "benchward-result",
    "version": 1,
    "case_sha256": Case.read(json.dumps(CASE)).sha256(),
    "status": "feasible",
    "objective": 0,
    "bound": 20_000,
    "gap": 20_000 / 1e-9,
    "seconds": 0.1,
    "solver": "by hand",
    "money": {"capital": 0, "recurrent": 0, "earmarks": {"malaria": 0}},
    "actions": [],
    "volumes": [],
    "objective_before": 0,
    "reasons": [],
}


@pytest.fixture
def verdict(tmp_path):
    """Runs ``verify`` on the case and on a result with some values of its own."""

    def of(**changes):
        case, result = tmp_path / "case.json", tmp_path / "result.json"
        case.write_text(json.dumps(CASE), encoding="utf-8")
        result.write_text(json.dumps({**RESULT, **changes}), encoding="utf-8")
        call_command("verify", case, result)

    return of


def test_a_result_that_holds_is_confirmed_in_one_line(verdict, capsys):
    verdict()

    assert capsys.readouterr() == (
        "Every constraint holds and the objective is as stated.\n",
        "",
    )


def test_each_claim_that_fails_is_a_line_and_the_exit_code_is_1(verdict, capsys):
    with pytest.raises(CommandError) as failed:
        verdict(objective=5, gap=(20_000 - 5) / 5, objective_before=7)

    out, err = capsys.readouterr()
    rules = [line.partition(":")[0] for line in out.splitlines()]
    assert rules == ["objective-before", "objective"]
    assert err == ""
    assert str(failed.value) == "The result does not hold: 2 of its claims fail."
    assert failed.value.returncode == 1


def test_a_result_of_another_case_does_not_hold(verdict, capsys):
    with pytest.raises(CommandError, match=r"^The result does not hold: 1 of its claims fails\.$"):
        verdict(case_sha256="0" * 64)

    assert capsys.readouterr().out.startswith("case-hash: ")


def test_a_result_with_mistakes_gives_exit_code_2_and_a_line_for_each(verdict, capsys):
    with pytest.raises(CommandError) as refused:
        verdict(status="perfect", seconds=-1)

    assert refused.value.returncode == 2
    assert str(refused.value) == (
        "The result has 2 mistakes. Correct the places named and read it again."
    )
    assert capsys.readouterr().err == (
        'status: expected one of "optimal", "feasible", "infeasible", found "perfect"\n'
        "seconds: expected a number ≥ 0, found -1\n"
    )


def test_in_a_shell_a_result_that_is_not_json_gives_exit_code_2_and_no_traceback(tmp_path):
    path = tmp_path / "result.json"
    path.write_text("{}}", encoding="utf-8")

    assert run("verify", EXAMPLE_PATH, path) == (
        2,
        "",
        "line 1, column 3: not JSON (something follows the end of the document)\n"
        "CommandError: The result has 1 mistake. Correct the places named and read it again.\n",
    )


def test_in_a_shell_a_missing_argument_gives_exit_code_2():
    code, out, err = run("verify", EXAMPLE_PATH)

    assert (code, out) == (2, "")
    assert "the following arguments are required: RESULT.json" in err


def test_its_help_teaches_by_example_and_lists_the_exit_codes():
    code, out, err = run("verify", "--help")

    assert (code, err) == (0, "")
    assert "manage.py plan case.json --out result.json\n  manage.py verify case.json" in out
    assert "exit codes:\n  0  every constraint holds and the objective is as stated\n  1  " in out
