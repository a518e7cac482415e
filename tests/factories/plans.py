"""Plans and their runs, written straight into their tables."""

from typing import Any

from apps.accounts.models import User
from apps.facilities.models import Area
from apps.plans.models import Plan, Run


def make_plan(area: Area, by: User, **values: Any) -> Plan:
    return Plan.objects.create(
        **{"title": "Next year", "area": area, "capital": 0, "made_by": by, **values}
    )


def make_run(plan: Plan, state: str = "queued", **values: Any) -> Run:
    return Run.objects.create(**{"plan": plan, "state": state, "asked_by": plan.made_by, **values})
