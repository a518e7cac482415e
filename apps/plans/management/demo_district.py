"""The invented district, made ready to be looked at: loaded, assessed and planned for.

Each step is skipped where an earlier start has done it and nothing has changed since.
"""

import secrets
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from apps.accounts.choices import Role
from apps.accounts.models import User
from apps.accounts.services import make_user, set_password
from apps.catalogue.services import NothingNewError
from apps.coverage.adapters import freeze_as_it_stands
from apps.coverage.models import Assessment
from apps.coverage.selectors import latest_assessment
from apps.coverage.services import publish_catalogue, refresh_coverage
from apps.facilities.choices import AreaKind
from apps.facilities.models import Area
from apps.imports.services import is_loaded, load_catalogue, load_register
from apps.plans.adapters import case_of
from apps.plans.choices import RunState
from apps.plans.management.demo_question import question_of, read_question
from apps.plans.models import Plan, Run
from apps.plans.selectors import latest_run
from apps.plans.services import compute_run, draft_plan, mark_interrupted, start_run
from apps.plans.tasks import beating

# Role to the name under which the demo signs in.
PEOPLE = {
    Role.IN_CHARGE: "in-charge",
    Role.HEALTH_OFFICER: "officer",
    Role.PLANNER: "planner",
    Role.AUDITOR: "auditor",
    Role.ADMINISTRATOR: "administrator",
}


@dataclass(frozen=True)
class Demo:
    """What there is to look at."""

    district: Area
    assessment: Assessment
    run: Run
    password: str


def prepare(fixtures: Path) -> Demo:
    """Bring the database up to date and the demo of ``fixtures`` into it.

    Raises ``LoadError`` for mistakes in the files, ``CommandError`` where no plan comes out.
    """
    call_command("migrate", verbosity=0)
    call_command("createcachetable", verbosity=0)
    mark_interrupted()
    catalogue, register = fixtures / "catalogue", fixtures / "demo"
    if not is_loaded(catalogue):
        load_catalogue(folder=catalogue, by=None)
        with suppress(NothingNewError):
            publish_catalogue(title="As shipped", by=None)
    if not is_loaded(register):
        load_register(folder=register, by=None)
    district = Area.objects.filter(kind=AreaKind.DISTRICT).earliest("pk")
    password = demo_password()
    people = _people(district, password)
    return Demo(
        district=district,
        assessment=_assessment(district, people[Role.HEALTH_OFFICER]),
        run=_run(district, people[Role.PLANNER], register),
        password=password,
    )


def demo_password() -> str:
    """One password for all people of the demo, made on the first start and kept beside the data."""
    path = settings.VAR / "demo-password"
    if not path.exists():
        path.touch(mode=0o600)
        path.write_text(f"demo-{secrets.token_hex(4)}")
    return path.read_text()


def _people(district: Area, password: str) -> dict[Role, User]:
    there = {user.username: user for user in User.objects.filter(username__in=PEOPLE.values())}
    block = Area.objects.within(district.path).filter(kind=AreaKind.BLOCK).first()
    people = {}
    for role, username in PEOPLE.items():
        areas = [block or district] if role == Role.IN_CHARGE else [district]
        people[role] = there.get(username) or make_user(
            username=username, password=password, role=role, areas=areas, by=None
        )
    # The data outlived the file with the password: the one that is printed must open them.
    if there and not next(iter(there.values())).check_password(password):
        for user in there.values():
            set_password(user=user, password=password, by=None)
    return people


def _assessment(district: Area, officer: User) -> Assessment:
    latest = latest_assessment(district)
    case = freeze_as_it_stands(district).case
    if latest and (latest.case_id, latest.engine_version) == (case.sha256(), settings.VERSION):
        return latest
    return refresh_coverage(area=district, by=officer)


def _run(district: Area, planner: User, register: Path) -> Run:
    question = read_question(register)
    plans = Plan.objects.filter(area=district, made_by=planner)
    plan = next((plan for plan in plans if question_of(plan) == question), None)
    if plan is None:
        plan = draft_plan(area=district, by=planner, **question)
    run = latest_run(plan)
    if run is None or not _still_answers(run, plan):
        run = _computed(plan, planner)
    if run.state != RunState.DONE:
        raise CommandError(f"The demo plan was not computed: {run.message}")
    return run


def _still_answers(run: Run, plan: Plan) -> bool:
    done = run.state == RunState.DONE and run.engine_version == settings.VERSION
    return done and run.case_id == case_of(plan).case.sha256()


def _computed(plan: Plan, planner: User) -> Run:
    """Compute here and now; the queue has it too, but will find it taken."""
    run = start_run(plan=plan, by=planner)
    with beating(run.pk):
        compute_run(run.pk)
    run.refresh_from_db()
    return run
