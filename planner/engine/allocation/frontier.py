"""What each budget achieves: plans and bounds over all budgets, from one run.

Only capital varies; earmarks, running money, trainer days, staff and machines stay as the
case has them. Floors are left aside, since below some budget no plan would reach them, and the
aim is the greatest worth, whatever the case asks for.

Prices found for one budget prove a bound for all: at prices π no plan with capital b is
worth more than L(π, b), which is a straight line in b. The least of these lines is a concave
curve that no plan exceeds. Packages found for one budget serve all others, too. The next
budget is asked where the curve is farthest above the plans found.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.national import may_split
from planner.engine.allocation.national.budgets import BudgetSearch, budget_search
from planner.engine.allocation.progress import Progress, Watch, gap_between
from planner.engine.allocation.solve import plan
from planner.engine.asking import MOST
from planner.engine.case import Case
from planner.engine.errors import NoPlanError

POINTS = 15
_APART = 1e-3  # of the whole range: budgets closer than this are one


@dataclass(frozen=True)
class Point:
    """What ``budget`` (capital) achieves: a plan worth ``value``, and no plan above ``bound``."""

    budget: float
    value: float
    bound: float

    @property
    def gap(self) -> float:
        """(bound − value) / |value|."""
        return gap_between(self.value, self.bound)


@dataclass(frozen=True)
class Step:
    """From one budget to the next: how much more 1 000 of money bring, at least and at most.

    An interval, since neither end is known better than to its gap.
    """

    start: float
    end: float
    least_per_1000: float
    most_per_1000: float


@dataclass(frozen=True)
class Frontier:
    """Worth against budget, budgets rising.

    ``today`` is what is done without any action. From ``diminishing`` on, more money brings
    less than it does on average from no budget to ``useful``, beyond which it brings nothing
    that could be found: there the curve is highest above the straight line between its ends
    (``None`` if no budget brings anything).
    """

    today: float
    points: tuple[Point, ...]
    steps: tuple[Step, ...]
    useful: float
    diminishing: float | None

    def at_least(self, budget: float) -> float:
        """What ``budget`` surely achieves: the best plan found that costs no more."""
        within = [point.value for point in self.points if point.budget <= budget]
        return max(within, default=self.today)


def frontier(
    case: Case,
    *,
    points: int = POINTS,
    gap: float = 0.001,
    seconds: float = 300.0,
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Frontier:
    """Worth against budget at about ``points`` budgets, each to a relative ``gap`` if possible.

    ``progress`` is called about twice a second; when time is up or ``cancelled`` returns
    true, the points found so far are returned. Raises ``NoPlanError`` if there are none.
    """
    watch = Watch(seconds, progress, cancelled)
    watch.enter("preparing")
    free = _for_worth(case)
    instance = instance_of(free)
    search = budget_search(instance, watch, gap=gap) if may_split(free) else None
    found = _by_sites(search, points) if search else _one_by_one(free, watch, points, gap)
    if found is None or not found[1]:
        raise NoPlanError(
            f"No plan was found for any budget within {watch.seconds:.0f} s.",
            remedy="Allow more time, or ask for fewer points.",
        )
    today, known, useful = found
    return _drawn(today, known, useful)


def _by_sites(search: BudgetSearch, points: int) -> tuple[float, list[Point], float]:
    known: list[Point] = []
    for end in (search.useful, 0.0)[: 2 if search.useful > 0 else 1]:
        _ask(search, end, known)
    if 0.0 < search.case_capital < search.useful:
        _ask(search, search.case_capital, known)
    while len(known) < points and search.watch.left > 0.0:
        budget = _widest(known, search.bound_at)
        if budget is None or not _ask(search, budget, known):
            break
    # Later prices may prove more of earlier budgets.
    proven = [replace(p, bound=max(p.value, search.bound_at(p.budget))) for p in known]
    return search.today, proven, search.useful


def _ask(search: BudgetSearch, budget: float, known: list[Point]) -> bool:
    value = search.value_at(budget)
    if value is None:
        return False
    known.append(Point(budget, value, max(value, search.bound_at(budget))))
    known.sort(key=lambda point: point.budget)
    return True


def _widest(known: list[Point], bound_at: Callable[[float], float]) -> float | None:
    """The budget where the curve is farthest above the line between plans beside it."""
    span = known[-1].budget - known[0].budget
    best: float | None = None
    widest = 0.0
    for left, right in pairwise(known):
        if right.budget - left.budget <= 2 * _APART * span:
            continue
        for part in np.linspace(0.1, 0.9, 17):
            budget = float(left.budget + part * (right.budget - left.budget))
            chord = left.value + part * (right.value - left.value)
            if (distance := bound_at(budget) - chord) > widest:
                best, widest = budget, distance
    return best


def _one_by_one(
    case: Case, watch: Watch, points: int, gap: float
) -> tuple[float, list[Point], float] | None:
    """The same with a plan for each of evenly spaced budgets, for cases that stay whole."""
    everything = _planned(case, _most_capital(case), watch, gap)
    if everything is None:
        return None
    today, last, useful = everything
    known = [replace(last, budget=useful)]
    below = np.linspace(0.0, useful, max(2, points))[:-1] if useful > 0 else np.zeros(0)
    for budget in below.tolist():
        if (found := _planned(case, budget, watch, gap)) is None:
            break
        known.append(found[1])
    known.sort(key=lambda point: point.budget)
    return today, known, useful


def _planned(
    case: Case, capital: float, watch: Watch, gap: float
) -> tuple[float, Point, float] | None:
    """Today's worth, the point at this capital, and the capital that its plan draws."""
    if watch.left == 0.0:
        return None
    limits = case.limits.model_copy(update={"capital": capital})
    try:
        answer = plan(
            case.model_copy(update={"limits": limits}), gap=gap, seconds=watch.left,
            cancelled=lambda: watch.cancelled,
        )  # fmt: skip
    except NoPlanError:
        return None
    watch.tick()
    if answer.objective is None or answer.bound is None:
        return None
    point = Point(capital, answer.objective, answer.bound)
    return answer.objective_before, point, answer.money.capital


def _most_capital(case: Case) -> float:
    """What all actions that the sites could take would cost."""
    instance: Instance = instance_of(case)
    return float((instance.places.most * instance.places.price).sum())


def _for_worth(case: Case) -> Case:
    """The same case asked for the greatest worth, whatever its aim is, floors left aside."""
    areas = tuple(area.model_copy(update={"floor": 0.0}) for area in case.areas)
    return case.model_copy(update={"areas": areas, "aim": MOST})


def _drawn(today: float, known: list[Point], useful: float) -> Frontier:
    """Points made to rise, steps between them, and where returns begin to diminish."""
    rising, best = [], today
    for point in known:
        best = max(best, point.value)
        rising.append(replace(point, value=best, bound=max(best, point.bound)))
    steps = []
    for left, right in pairwise(rising):
        thousands = (right.budget - left.budget) / 1000
        least = max(0.0, right.value - left.bound) / thousands
        most = (right.bound - left.value) / thousands
        steps.append(Step(left.budget, right.budget, least, most))
    return Frontier(today, tuple(rising), tuple(steps), useful, _knee(rising))


def _knee(points: list[Point]) -> float | None:
    first, last = points[0], points[-1]
    if last.value <= first.value:
        return None
    per_money = (last.value - first.value) / (last.budget - first.budget)
    above = [p.value - first.value - per_money * (p.budget - first.budget) for p in points]
    return points[int(np.argmax(above))].budget
