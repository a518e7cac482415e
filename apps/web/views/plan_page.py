"""What the page of a plan shows about one of its runs."""

from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext

from apps.accounts.rules import may
from apps.plans.choices import OPEN_TO_CHANGE, UNFINISHED, PlanState, RunState
from apps.plans.selectors import (
    latest_run,
    lines_of,
    names_asked,
    notes_on,
    proposer,
    steps_of,
)
from apps.web.answers import answer, volumes
from apps.web.figures import percent_text
from apps.web.forms.actions import ActionsForm
from apps.web.forms.numbers import plain_percent
from apps.web.plan_parts import ARRANGED, arranged, asked_in_words
from apps.web.results import budget, change_charts, total_cost
from apps.web.views.plan_beside import beside


def plan_page(request: HttpRequest, plan: Any, run: Any | None) -> dict[str, Any]:
    """The values of ``web/plans/detail.html``; ``run`` is the one to show, if any."""
    values = {
        "plan": plan,
        "run": run,
        "runs": plan.runs.all(),
        "latest": latest_run(plan),
        "lead": answer(run),
        "unfinished": run is not None and run.state in UNFINISHED,
        "may_draft": may(request.user, "plan.draft"),
        "may_run": may(request.user, "plan.run") and plan.state in OPEN_TO_CHANGE,
        "earmarks": plan.earmarks.all(),
        "wishes": asked_in_words(plan.asked, names_asked(plan), plan.area.currency),
        "floors": [
            {"area": floor.area, "text": percent_text(floor.share, 1)}
            for floor in plan.floors.all()
        ],
        "gap_limit": f"{plain_percent(plan.gap)}\N{NO-BREAK SPACE}%",
        "start_words": gettext("Compute the plan") if run is None else gettext("Compute it again"),
    }
    values |= _decision(request, plan, run)
    if run is not None and run.result_id is not None:
        values |= _infeasible(run) if run.status == "infeasible" else _result(request, plan, run)
    return values


def _decision(request: HttpRequest, plan: Any, run: Any | None) -> dict[str, Any]:
    """How far the plan has got, and what the reader may do about it."""
    proposed = plan.state == PlanState.PROPOSED
    by = proposer(plan) if proposed else None
    answers = run is not None and run.state == RunState.DONE and run.status != "infeasible"
    may_draft = may(request.user, "plan.draft")
    return {
        "steps": steps_of(plan),
        "proposer": by,
        "own_proposal": by == request.user,
        "may_propose": may_draft and answers and plan.state in OPEN_TO_CHANGE,
        "may_withdraw": may_draft and by == request.user,
        "may_decide": proposed and may(request.user, "plan.approve") and by != request.user,
        "notes": notes_on(plan),
        "may_review": may(request.user, "plan.review"),
    }


def _result(request: HttpRequest, plan: Any, run: Any) -> dict[str, Any]:
    form = ActionsForm(request.GET)
    lines = [line for line in lines_of(run) if form.fits(line)]
    programmes = {earmark.programme.code: earmark.programme.name for earmark in plan.earmarks.all()}
    funds = run.summary.get("funds", {})
    return beside(request, plan, run) | {
        "budget": budget(run.summary["money"], programmes),
        "change": volumes(run),
        "charts": change_charts(run.summary["coverage"]),
        "filters": form,
        "filtered": form.narrows,
        "groups": arranged(lines, form.arrangement, funds, programmes),
        "arrangements": _arrangements(request, form.arrangement),
        "action_count": len(lines),
        "action_cost": total_cost(lines),
    }


def _arrangements(request: HttpRequest, chosen: str) -> list[dict[str, Any]]:
    """The ways to arrange the actions, each a link that keeps what they are narrowed to."""
    found = []
    for by, words in ARRANGED:
        query = request.GET.copy()
        query["by"] = by
        found.append({"href": f"?{query.urlencode()}#actions", "words": words, "now": by == chosen})
    return found


def _infeasible(run: Any) -> dict[str, Any]:
    return {"relaxations": run.summary.get("relax", [])}
