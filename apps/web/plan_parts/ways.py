"""A plan beside three simple ways of spending the same money."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.figures import figures, percent_text

# Less than this is no difference that a figure on the page would show.
NO_GAIN = 0.0005


@dataclass(frozen=True)
class Way:
    name: str
    tests_met: str
    worth: str
    cost: float


@dataclass(frozen=True)
class Ways:
    """``said``: what the plan gains on the best of them; ``rows``: the plan first."""

    said: str
    rows: tuple[Way, ...]


def ways(run: Any) -> Ways | None:
    """The plan of ``run`` and the simple ways; ``None`` where none was computed."""
    found = run.summary.get("baselines")
    if not found:
        return None
    after, money = run.summary["coverage"]["after"], run.summary["money"]
    cost = money["capital"] + sum(money["earmarks"].values())
    plan = Way(gettext("This plan"), percent_text(after["tests_met_share"], 1),
               figures(run.objective), cost)  # fmt: skip
    return Ways(_said(run, found), (plan, *(_row(each) for each in found)))


def _row(way: Mapping[str, Any]) -> Way:
    names = {
        "equal_shares": gettext("Equal shares: every site gets the same money"),
        "largest_first": gettext("Largest sites first"),
        "greedy": gettext("Greatest benefit for its cost first"),
    }
    return Way(
        names[way["way"]],
        percent_text(way["tests_met_share"], 1),
        figures(way["objective"]),
        way["cost"],
    )


def _said(run: Any, found: list[Mapping[str, Any]]) -> str:
    best = max(way["objective"] for way in found)
    if best <= 0:
        return gettext("None of the simple ways makes any test possible.")
    gain = run.objective / best - 1
    if gain > NO_GAIN:
        return gettext("It does %(gain)s more than the best of three simple ways.") % {
            "gain": percent_text(gain, 1)
        }
    if gain >= -NO_GAIN:
        return gettext("The best of three simple ways does as much.")
    return gettext(
        "The best of three simple ways does %(gain)s more, since it seeks the most tests only:"
        " no floor, no minimum set and no other aim."
    ) % {"gain": percent_text(-gain, 1)}
