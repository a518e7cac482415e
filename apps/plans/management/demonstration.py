"""The invented district of ``fixtures/demo``: loaded, assessed and planned, each only once."""

import csv
import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from django.conf import settings

from apps.accounts.choices import Role
from apps.accounts.selectors import user_named
from apps.accounts.services import make_user
from apps.coverage.selectors import latest_assessment
from apps.coverage.services import refresh_coverage
from apps.facilities.choices import AreaKind
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.services import is_loaded, load_catalogue, load_register
from apps.plans.choices import RunState
from apps.plans.models import Plan, Run
from apps.plans.selectors import latest_run, plans_for
from apps.plans.services import compute_run, draft_plan, start_run

CATALOGUE = settings.ROOT / "fixtures" / "catalogue"
DISTRICT = settings.ROOT / "fixtures" / "demo"
ADMINISTRATOR = "admin"
PEOPLE = {
    ADMINISTRATOR: Role.ADMINISTRATOR,
    "officer": Role.HEALTH_OFFICER,
    "planner": Role.PLANNER,
    "auditor": Role.AUDITOR,
    "incharge": Role.IN_CHARGE,
}


def prepare(password: str) -> Iterator[str]:
    """Bring the demo to where it can be looked at, saying each step before it is done.

    Does nothing that was done before, unless the folders have changed since.
    """
    changed = not (is_loaded(CATALOGUE) and is_loaded(DISTRICT))
    if changed:
        yield "Loading the catalogue and the invented district ..."
        load_catalogue(folder=CATALOGUE, by=None)
        load_register(folder=DISTRICT, by=None)
    _make_people(password)
    [district] = _administrator_areas(AreaKind.DISTRICT)
    if changed or latest_assessment(district) is None:
        yield "Working out what each site can do ..."
        refresh_coverage(area=district, by=None)
    if changed or solved_run() is None:
        yield "Solving a plan ..."
        _solve(district)


def solved_run() -> Run | None:
    """The newest finished run of the newest plan, if there is one."""
    plan = plans_for(user_named(ADMINISTRATOR)).first()
    run = latest_run(plan) if plan else None
    return run if run is not None and run.state == RunState.DONE else None


def summary_of(run: Run) -> str:
    """The few figures that say what the plan of ``run`` is worth, a line each."""
    admin, assessment = user_named(ADMINISTRATOR), latest_assessment(run.plan.area)
    money, coverage = run.summary["money"], run.summary["coverage"]
    spent = money["capital"] + sum(money["earmarks"].values())
    limit = money["limits"]["capital"] + sum(money["limits"]["earmarks"].values())
    tests = assessment.findings.values("test").distinct().count()
    took = run.finished_at - run.started_at if run.finished_at else dt.timedelta()
    rows = {
        "sites": f"{facilities_for(admin).count()}",
        "tests": f"{tests}",
        "coverage today": f"{coverage['before']['tests_met_share']:.1%} of the tests asked for",
        "plan cost": f"{run.plan.area.currency} {spent:,.0f} of {limit:,.0f}, and"
        f" {money['recurrent']:,.0f} a year",
        "coverage after": f"{coverage['after']['tests_met_share']:.1%} of the tests asked for",
        "proven gap": f"{run.gap:.3%} from the best possible",
        "computed in": f"{took.total_seconds():.1f} s",
    }
    return "\n".join(f"  {name:<15} {text}" for name, text in rows.items())


def _make_people(password: str) -> None:
    for name, role in PEOPLE.items():
        if user_named(name) is None:
            kind = AreaKind.BLOCK if role == Role.IN_CHARGE else AreaKind.DISTRICT
            areas = [] if name == ADMINISTRATOR else _administrator_areas(kind)[:1]
            make_user(username=name, password=password, role=role, areas=areas)


def _administrator_areas(kind: AreaKind) -> list:
    return list(areas_for(user_named(ADMINISTRATOR)).filter(kind=kind))


def _solve(district) -> None:
    """Draft the plan that the folder asks for, and compute it here and now.

    The task that starting a run queues finds nothing left to do.
    """
    run = start_run(plan=_draft(district), by=user_named("officer"))
    compute_run(run.pk)


def _draft(district) -> Plan:
    [asked] = _rows("plan.csv")
    return draft_plan(
        title=asked["title"],
        area=district,
        capital=Decimal(asked["capital"]),
        recurrent=Decimal(asked["recurrent"]) if asked["recurrent"] else None,
        trainer_days=float(asked["trainer_days"]) if asked["trainer_days"] else None,
        max_units=int(asked["max_units"]),
        minimum_evidence=asked["minimum_evidence"],
        gap=float(asked["gap"]),
        time_limit_s=settings.PLAN_SECONDS,
        earmarks={row["programme"]: Decimal(row["amount"]) for row in _rows("plan_earmarks.csv")},
        floors={row["area"]: float(row["share"]) for row in _rows("plan_floors.csv")},
        by=user_named("officer"),
    )


def _rows(file: str) -> list[dict[str, str]]:
    path: Path = DISTRICT / file
    with path.open(encoding="utf-8-sig", newline="") as lines:
        return list(csv.DictReader(lines))
