"""What the demo does on a first and on a later start, and what it says when it cannot."""

import socket
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from apps.accounts.models import User
from apps.audit.models import Entry
from apps.catalogue.models import CatalogueVersion
from apps.coverage.models import Assessment
from apps.imports.services import LoadError
from apps.plans.management.demo_district import PEOPLE, demo_password, prepare
from apps.plans.management.demo_question import read_question
from apps.plans.management.serving import HOST, require_free
from apps.plans.models import Plan, Run
from tests.apps.imports.folders import CATALOGUE, REGISTER, write_folder

PLAN = {
    "plan.csv": "title,capital,recurrent,trainer_days,max_units,minimum_evidence,gap\n"
    "One year,3000,,5,1,B,0\n",
    "plan_earmarks.csv": "programme,amount\nmalaria,250\n",
    "plan_floors.csv": "area,share\nupper,0.1\n",
}


@pytest.fixture
def fixtures(tmp_path) -> Path:
    write_folder(tmp_path / "catalogue", CATALOGUE)
    write_folder(tmp_path / "demo", REGISTER | PLAN)
    return tmp_path


@pytest.fixture(autouse=True)
def _place_of_its_own(settings, tmp_path):
    settings.VAR = tmp_path


def steps() -> dict[str, int]:
    """How often each step has been taken."""
    return {
        "versions": CatalogueVersion.objects.count(),
        "loads": Entry.objects.filter(action__endswith=".loaded").count(),
        "people": User.objects.count(),
        "assessments": Assessment.objects.count(),
        "plans": Plan.objects.count(),
        "runs": Run.objects.count(),
    }


ONCE = {"versions": 1, "loads": 2, "people": 5, "assessments": 1, "plans": 1, "runs": 1}


def test_a_first_start_loads_assesses_and_plans(db, fixtures):
    demo = prepare(fixtures)

    assert steps() == ONCE
    assert (demo.district.code, demo.run.state, demo.run.plan.title) == (
        "north", "done", "One year",
    )  # fmt: skip
    assert demo.assessment.made_by.username == "officer"
    assert {user.username: user.role for user in User.objects.all()} == {
        name: role.value for role, name in PEOPLE.items()
    }


def test_a_second_start_takes_no_step_again(db, fixtures):
    first = prepare(fixtures)

    second = prepare(fixtures)

    assert steps() == ONCE
    assert (second.run, second.password) == (first.run, first.password)


@pytest.mark.parametrize(
    ("change", "more"),
    [
        ({"facilities": REGISTER["facilities.csv"].replace("12000", "12500")},
         {"loads": 1, "assessments": 1, "runs": 1}),
        ({"plan": PLAN["plan.csv"].replace("3000", "3001")}, {"plans": 1, "runs": 1}),
        ({"plan_floors": None}, {"plans": 1, "runs": 1}),
    ],
)  # fmt: skip
def test_what_changed_since_is_done_again_and_nothing_else(db, fixtures, change, more):
    prepare(fixtures)
    write_folder(fixtures / "demo", REGISTER | PLAN, **change)

    prepare(fixtures)

    assert steps() == {step: count + more.get(step, 0) for step, count in ONCE.items()}


def test_the_printed_password_opens_everybody_even_where_the_data_is_older(db, fixtures):
    prepare(fixtures)
    (fixtures / "demo-password").unlink()

    password = prepare(fixtures).password

    assert password == demo_password()
    assert [user.check_password(password) for user in User.objects.all()] == [True] * 5


def test_everybody_sees_the_district_but_the_one_in_charge_only_a_block(db, fixtures):
    prepare(fixtures)

    seen = {
        user.username: [each.area.code for each in user.stewardships.all()]
        for user in User.objects.all()
    }
    assert seen == {name: ["upper" if name == "in-charge" else "north"] for name in PEOPLE.values()}


def test_mistakes_in_the_files_are_lines_and_the_demo_stops(db, fixtures, capsys):
    write_folder(fixtures / "demo", REGISTER | PLAN, plan="title\n")

    with pytest.raises(CommandError, match=r"^Nothing was loaded: 1 mistake"):
        call_command("demo", "--no-serve", "--fixtures", fixtures)

    assert capsys.readouterr().err.startswith("plan.csv:1: the column capital is missing; ")


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"plan": PLAN["plan.csv"].replace("3000", "much")}, 'plan.csv:2: capital is "much",'
         " expected an amount with at most 4 decimals, 0 or more."),
        ({"plan": PLAN["plan.csv"].splitlines()[0]},
         "plan.csv:1: there is no row below the heading. Add one."),
        ({"plan_floors": "area,share\nupper,1.1\n"},
         'plan_floors.csv:2: share is "1.1", expected a number from 0 to 1.'),
    ],
)  # fmt: skip
def test_a_question_that_makes_no_sense_is_named_by_file_and_line(db, fixtures, change, problem):
    write_folder(fixtures / "demo", PLAN, **change)

    with pytest.raises(LoadError) as refusal:
        read_question(fixtures / "demo")

    assert [str(each) for each in refusal.value.problems] == [problem]


def test_a_plan_that_cannot_be_computed_stops_the_demo_and_says_why(db, fixtures, monkeypatch):
    monkeypatch.setattr(
        "apps.plans.services.computing.plan", lambda *args, **limits: 1 / 0  # a fault of ours
    )  # fmt: skip

    with pytest.raises(CommandError, match=r"^The demo plan was not computed: Something went"):
        call_command("demo", "--no-serve", "--fixtures", fixtures)


def test_the_demo_refuses_to_run_in_production(settings):
    settings.PRODUCTION = True

    with pytest.raises(CommandError) as refusal:
        call_command("demo", "--no-serve")

    assert str(refusal.value) == (
        "The demo makes people whose password is printed, so it does not run with"
        " PLANNER_MODE=production. Use migrate, load_catalogue and load_register."
    )


def test_a_port_that_is_taken_is_named_with_another_to_choose():
    with socket.socket() as other:
        other.bind((HOST, 0))
        other.listen()
        port = other.getsockname()[1]

        with pytest.raises(CommandError) as refusal:
            require_free(port)

    assert str(refusal.value) == (
        f"Port {port} cannot be used (Address already in use). If another program has it, choose"
        f" another port: python3 manage.py demo --port {port + 1}"
    )
    require_free(port)
