"""Coverage against budget: what other budgets would achieve, and what 1 000 more would do."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext

from apps.web.charts import coverage_against_budget
from apps.web.figures import figures, money_text, percent_text

NOTHING = 0.5  # weighted tests; less is none that a page would show


@dataclass(frozen=True)
class BudgetRow:
    budget: float
    typed: str
    least: str
    most: str
    next_1000: str
    href: str
    mark: str


@dataclass(frozen=True)
class Budgets:
    """``said`` is about 1 000 more, ``diminishing`` and ``useful`` about where it ends."""

    figure: dict[str, Any]
    rows: tuple[BudgetRow, ...]
    said: str
    diminishing: str
    useful: str


def budgets(plan: Any, run: Any) -> Budgets | None:
    """``None`` where no other budget was looked at."""
    frontier = run.summary.get("frontier")
    if not frontier:
        return None
    currency, capital = plan.area.currency, run.summary["money"]["limits"]["capital"]
    own = run.summary["coverage"]["after"]["weighted_share"]
    rows = tuple(_row(plan, point, frontier, capital) for point in frontier["points"])
    return Budgets(
        figure=coverage_against_budget(
            frontier["points"], [row.href for row in rows], capital, own, currency
        ),
        rows=rows,
        said=_said(frontier, capital, currency),
        diminishing=_diminishing(frontier, currency),
        useful=gettext("Beyond %(budget)s, more money for purchases brings nothing that was found.")
        % {"budget": money_text(frontier["useful"], currency)},
    )


def _row(plan: Any, point: Mapping[str, Any], frontier: Mapping[str, Any], capital: float) -> Any:
    typed = f"{point['budget']:.0f}"
    step = _step_from(frontier, point["budget"])
    mark = ""
    if abs(point["budget"] - capital) < 1:
        mark = gettext("this plan’s money")
    elif point["budget"] == frontier["diminishing"]:
        mark = gettext("returns diminish from here")
    return BudgetRow(
        budget=point["budget"],
        typed=typed,
        least=percent_text(point["share"], 1),
        most=percent_text(point["bound"], 1),
        next_1000=_between(step) if step else "–",
        href=f"{reverse('web:plan-draft')}?like={plan.pk}&capital={typed}",
        mark=mark,
    )


def _said(frontier: Mapping[str, Any], capital: float, currency: str) -> str:
    step = _step_from(frontier, capital)
    thousand = money_text(1000, currency)
    if step is None or step["most"] < NOTHING:
        return gettext("%(money)s more would bring nothing more that was found.") % {
            "money": thousand
        }
    return gettext("%(money)s more would bring %(tests)s more weighted tests a year.") % {
        "money": thousand,
        "tests": _between(step),
    }


def _diminishing(frontier: Mapping[str, Any], currency: str) -> str:
    if frontier["diminishing"] is None:
        return ""
    return gettext("From about %(budget)s on, more money brings less than it does on average.") % {
        "budget": money_text(frontier["diminishing"], currency)
    }


def _step_from(frontier: Mapping[str, Any], budget: float) -> Mapping[str, Any] | None:
    found = (step for step in frontier["steps"] if step["start"] <= budget < step["end"])
    return next(found, None)


def _between(step: Mapping[str, Any]) -> str:
    least, most = figures(step["least"]), figures(step["most"])
    if least == most:
        return least
    return gettext("%(least)s to %(most)s") % {"least": least, "most": most}
