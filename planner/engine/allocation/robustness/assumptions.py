"""What may turn out otherwise, by how much, and how it is known."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal

from planner.engine.errors import EngineError

Kind = Literal["planning default", "common practice"]


@dataclass(frozen=True)
class Assumptions:
    """How wide the distributions are that draws are taken from.

    ``prices``: spread (standard deviation of the logarithm) of each device model's price
    with its upkeep, of each repair, training and infrastructure item, and of each method's
    consumables. ``demand_of_test`` and ``demand_of_site``: the same of a factor for each test
    and of one for each site. All these factors are lognormal with mean 1.

    ``breakdown``: probability that a unit which works today is out of order when the plan
    starts. ``repair_success``: probability that a repair succeeds where the case takes it as
    certain. ``interruption``: probability that the supplies of a test are interrupted in the
    year, for ``interruption_days`` on average (exponential); what is asked for then is lost.

    Raises ``EngineError`` where a spread is below 0 or a probability outside 0 to 1.
    """

    prices: float = 0.15
    demand_of_test: float = 0.15
    demand_of_site: float = 0.25
    breakdown: float = 0.15
    repair_success: float = 0.9
    interruption: float = 0.2
    interruption_days: float = 30.0

    def __post_init__(self) -> None:
        for field in fields(self):
            value, stated = getattr(self, field.name), STATED[field.name]
            if not 0 <= value <= stated.most:
                raise EngineError(
                    f"{field.name} is {value}, and must lie between 0 and {stated.most:g}.",
                    remedy=f"Enter {stated.meaning}.",
                )


@dataclass(frozen=True)
class Stated:
    """What an assumption is, the most that it can be, and how its default is known."""

    meaning: str
    most: float
    kind: Kind
    source: str


_NO_SOURCE = "a judgement of this project, no published source: replace it by what is known locally"
STATED: Mapping[str, Stated] = {
    "prices": Stated(
        "the spread of prices, a standard deviation of their logarithm", 2.0,
        "planning default", _NO_SOURCE),
    "demand_of_test": Stated(
        "the spread of demand from test to test, a standard deviation of its logarithm", 2.0,
        "planning default", _NO_SOURCE),
    "demand_of_site": Stated(
        "the spread of demand from site to site, a standard deviation of its logarithm", 2.0,
        "planning default", _NO_SOURCE),
    "breakdown": Stated(
        "the share of working units that break down", 1.0, "planning default", _NO_SOURCE),
    "repair_success": Stated(
        "the probability that a repair succeeds", 1.0, "planning default", _NO_SOURCE),
    "interruption": Stated(
        "the probability that supplies of a test are interrupted in a year", 1.0,
        "planning default", _NO_SOURCE),
    "interruption_days": Stated(
        "how long an interruption lasts on average, in days", 365.0,
        "planning default", _NO_SOURCE),
}  # fmt: skip
"""By the name of each field of ``Assumptions``."""


def certain() -> Assumptions:
    """Everything turns out as the case says."""
    return Assumptions(0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0)
