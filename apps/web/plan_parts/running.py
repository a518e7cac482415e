"""The money over the years: what is spent once, and what the service then costs to run."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.figures import money_text

YEARS = 5
NEARLY_ALL = 0.98


@dataclass(frozen=True)
class Year:
    name: str
    once: float
    running: float
    so_far: float


@dataclass(frozen=True)
class Running:
    """``years``: now, then each of five; ``warning`` where the money to run it is in doubt."""

    years: tuple[Year, ...]
    today: float
    after: float
    warning: str


def running(run: Any, currency: str) -> Running | None:
    """What ``run`` costs now and each year, at constant prices; ``None`` for an older run."""
    costs = run.summary.get("running")
    if costs is None:
        return None
    money = run.summary["money"]
    once = money["capital"] + sum(money["earmarks"].values())
    yearly = costs["after"]
    years = [Year(gettext("Now"), once, 0.0, once)]
    for number in range(1, YEARS + 1):
        name = gettext("Year %(number)d") % {"number": number}
        years.append(Year(name, 0.0, yearly, once + number * yearly))
    warning = _warning(costs, money["limits"]["recurrent"], currency)
    return Running(tuple(years), costs["before"], yearly, warning)


def _warning(costs: dict[str, float], limit: float | None, currency: str) -> str:
    more = costs["after"] - costs["before"]
    if limit is None:
        if more <= 0:
            return ""
        return gettext(
            "No limit was stated for running costs. Make sure that %(more)s more can be paid every"
            " year, or what is bought cannot be run."
        ) % {"more": money_text(more, currency)}
    if costs["after"] >= NEARLY_ALL * limit:
        return gettext(
            "The money to run the service is used up: more devices could not be run. It is"
            " %(limit)s a year; with less, what this plan buys cannot all be run."
        ) % {"limit": money_text(limit, currency)}
    return ""
