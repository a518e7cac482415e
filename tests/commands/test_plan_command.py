"""``manage.py plan``: what it prints where, and how it ends."""

import json
import signal

import pytest
from django.core.management import CommandError, call_command

from apps.plans.management.commands import plan as plan_command
from planner.engine.case import Case, Result
from planner.engine.errors import NoPlanError
from tests.benchmarks.generator import generate_case
from tests.commands.command_line import run, start
from tests.factories.documents import EXAMPLE_PATH, example


def answers(answer):
    """An engine that notes what it is asked and gives ``answer``, or raises it."""

    def plan(case, **asked):
        plan.asked = asked
        if isinstance(answer, BaseException):
            raise answer
        return answer

    return plan


def asked(engine) -> tuple[float, float]:
    return engine.asked["gap"], engine.asked["seconds"]


RESULT = Result.read(
    json.dumps(
        {
            "format": "benchward-result",
            "version": 1,
            "case_sha256": Case.read(EXAMPLE_PATH).sha256(),
            "status": "feasible",
            "objective": 100,
            "bound": 120,
            "gap": 0.2,
            "seconds": 0.1,
            "solver": "by hand",
            "money": {"capital": 0, "recurrent": 12, "earmarks": {"malaria": 0}},
            "actions": [],
            "volumes": [],
            "objective_before": 0,
            "reasons": [],
        }
    )
)


def test_the_example_is_planned_to_its_known_optimum_and_the_plan_verified(capsys, tmp_path):
    out = tmp_path / "result.json"

    call_command("plan", EXAMPLE_PATH, "--gap", "0", "--out", out)
    call_command("verify", EXAMPLE_PATH, out)

    result = Result.read(out)
    assert result.status == "optimal"
    # Found by an independent solver that shares no code with the engine.
    assert (result.objective, result.objective_before) == (pytest.approx(10_525), 0)
    printed, err = capsys.readouterr()
    lines = printed.splitlines()
    assert lines[0] == "A best plan, proven to the gap asked for."
    assert lines[1] == "objective  10,525.0 weighted correct tests a year; today 0.0"
    assert lines[-1] == "Every constraint holds and the objective is as stated."
    assert err == ""


def test_without_out_the_result_goes_to_stdout_and_the_summary_to_stderr(monkeypatch, capsys):
    monkeypatch.setattr(plan_command, "plan", answers(RESULT))

    call_command("plan", EXAMPLE_PATH)

    out, err = capsys.readouterr()
    assert Result.read(out) == RESULT
    assert err.startswith("The best plan found; the gap asked for was not proven")


def test_gap_and_seconds_are_passed_on_and_have_the_promised_defaults(monkeypatch, capsys):
    engine = answers(RESULT)
    monkeypatch.setattr(plan_command, "plan", engine)

    call_command("plan", EXAMPLE_PATH)
    assert asked(engine) == (0.001, 300.0)

    call_command("plan", EXAMPLE_PATH, "--gap", "0", "--seconds", "0.5")
    assert asked(engine) == (0.0, 0.5)


@pytest.mark.parametrize(("verbosity", "told"), [(0, False), (1, False), (2, True)])
def test_progress_is_told_where_nobody_watches_only_on_demand(verbosity, told, capsys, tmp_path):
    call_command("plan", EXAMPLE_PATH, "--out", tmp_path / "result.json", verbosity=verbosity)

    lines = capsys.readouterr().err.splitlines()
    assert bool(lines) is told
    assert all(" s  " in line for line in lines)


@pytest.mark.parametrize(
    ("option", "value", "problem"),
    [
        ("gap", "-0.1", "expected a share of 0 or more, found -0.1"),
        ("gap", "nan", "expected a number, found nan"),
        ("seconds", "0", "expected more than 0 seconds, found 0"),
        ("seconds", "inf", "expected a number, found inf"),
        ("seconds", "long", "expected a number, found long"),
    ],
)
def test_an_option_that_makes_no_sense_is_refused_before_the_case_is_read(option, value, problem):
    with pytest.raises(CommandError) as refused:
        call_command("plan", "absent.json", f"--{option}={value}")

    assert str(refused.value) == f"Error: argument --{option}: {problem}"


def test_an_engine_without_an_answer_ends_it_with_exit_code_1(monkeypatch, tmp_path):
    error = NoPlanError("No plan was found in 1 second.", remedy="Raise --seconds.")
    monkeypatch.setattr(plan_command, "plan", answers(error))

    with pytest.raises(CommandError) as failed:
        call_command("plan", EXAMPLE_PATH, "--out", tmp_path / "result.json")

    assert str(failed.value) == "No plan was found in 1 second. Raise --seconds."
    assert failed.value.returncode == 1
    assert list(tmp_path.iterdir()) == []


def test_an_interruption_ends_it_with_exit_code_130_and_writes_nothing(monkeypatch, tmp_path):
    monkeypatch.setattr(plan_command, "plan", answers(KeyboardInterrupt()))

    with pytest.raises(CommandError) as stopped:
        call_command("plan", EXAMPLE_PATH, "--out", tmp_path / "result.json")

    assert str(stopped.value) == "Stopped before it was done."
    assert stopped.value.returncode == 130
    assert list(tmp_path.iterdir()) == []


def test_in_a_shell_ctrl_c_stops_the_solver_too_and_leaves_nothing_but_a_line(tmp_path):
    case, out = tmp_path / "case.json", tmp_path / "result.json"
    large = generate_case(sites=150, tests=20, seed=1)  # takes many times longer than the start
    case.write_text(json.dumps(large.to_json()), encoding="utf-8")

    with start("plan", case, "--gap", "0", "-v", "2", "--out", out) as process:
        told = [next(line for line in process.stderr if " s  bound" in line)]
        process.send_signal(signal.SIGINT)
        told += process.stderr.readlines()
        printed = process.stdout.read()

    assert (process.returncode, printed) == (130, "")
    assert told[-1] == "CommandError: Stopped before it was done.\n"
    assert not out.exists()


def test_in_a_shell_limits_that_exclude_every_plan_are_an_answer_with_reasons(tmp_path):
    case, out = tmp_path / "case.json", tmp_path / "result.json"
    document = example((("areas", 1, "floor"), 1), (("limits", "capital"), 0))
    case.write_text(json.dumps(document), encoding="utf-8")

    code, printed, err = run("plan", case, "--out", out)

    result = Result.read(out)
    assert (code, err, result.status) == (0, "", "infeasible")
    assert printed.splitlines() == [
        "No plan keeps the limits and floors of this case.",
        "today      0.0 weighted correct tests a year",
        *(f"reason     {reason.text}" for reason in result.reasons),
    ]
    assert run("verify", case, out)[0] == 0


def test_in_a_shell_a_wrong_case_gives_exit_code_2_a_line_and_no_traceback(tmp_path):
    case = tmp_path / "case.json"
    document = example((("sites", 2, "demand", "malaria"), "many"))
    case.write_text(json.dumps(document), encoding="utf-8")

    assert run("plan", case) == (
        2,
        "",
        'sites[2].demand.malaria: expected a number ≥ 0, found "many"\n'
        "CommandError: The planning case has 1 mistake. "
        "Correct the places named and read it again.\n",
    )


def test_its_help_teaches_by_example_and_lists_the_exit_codes():
    code, out, err = run("plan", "--help")

    assert (code, err) == (0, "")
    assert "manage.py plan fixtures/cases/three-sites.json\n" in out
    assert "  130  stopped from the keyboard; nothing is written" in out
