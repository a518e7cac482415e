"""What more money would buy, and what each limit costs: intervals, never one exact number.

Neither the best plan within a limit nor that within another is known better than to its gap.
So what lies between the two limits brings at least the plan found for the higher less the
bound of the lower, and at most the bound of the higher less the plan found for the lower.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from planner.engine.allocation.progress import Watch
from planner.engine.allocation.solve import plan
from planner.engine.case import Action, Case, Result
from planner.engine.errors import NoPlanError

Changed = Callable[[Case, float], Case]
_NOTHING = 1e-6  # relative


@dataclass(frozen=True, slots=True)
class NextMoney:
    """What ``amount`` more capital would bring a year: worth, at least and at most.

    ``added`` and ``dropped`` are the actions by which the plan found for it differs.
    """

    amount: float
    least: float
    most: float
    added: tuple[Action, ...]
    dropped: tuple[Action, ...]
    text: str


@dataclass(frozen=True, slots=True)
class LimitCost:
    """What a limit costs: worth a year for one unit more of it, and for one unit less.

    Both are averages from ``stated`` to ``raised_to`` and from ``lowered_to`` to ``stated``,
    each at least and at most; ``None`` where the other limit has no plan that was found.
    ``limit`` is named as in the case.
    """

    limit: str
    stated: float
    raised_to: float
    gain: tuple[float, float] | None
    lowered_to: float
    loss: tuple[float, float] | None
    text: str


def next_money(
    case: Case,
    result: Result,
    *,
    amount: float = 1000.0,
    gap: float = 1e-4,
    seconds: float = 60.0,
    cancelled: Callable[[], bool] | None = None,
) -> NextMoney:
    """What ``amount`` more capital would buy, from a plan for it.

    ``result`` must be a plan for ``case``; for large cases ``frontier`` is the quicker way.
    Raises ``NoPlanError`` if no plan was found in time.
    """
    richer = plan(_with_capital(case, case.limits.capital + amount), gap=gap, seconds=seconds,
                  cancelled=cancelled)  # fmt: skip
    least, most = _between(result, richer)
    added = tuple(action for action in richer.actions if action not in result.actions)
    dropped = tuple(action for action in result.actions if action not in richer.actions)
    tests = _interval(least, most)
    text = f"{amount:,.0f} {case.currency} more would bring {tests} weighted correct tests a year."
    return NextMoney(amount, least, most, added, dropped, text)


def limit_costs(
    case: Case,
    result: Result,
    *,
    share: float = 0.05,
    gap: float = 1e-4,
    seconds: float = 120.0,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[LimitCost, ...]:
    """What capital, each earmark, running money, trainer days and each floor cost.

    Each is raised and lowered by ``share`` of itself and planned for anew, so this is for
    small cases; limits for which time is up are left out.
    """
    watch = Watch(seconds, None, cancelled)
    found = []
    for name, stated, changed in _limits(case):
        if watch.left == 0.0:
            break
        ends = stated * (1 + share), stated * (1 - share)
        raised, lowered = (_planned(changed(case, end), gap, watch) for end in ends)
        step = share * stated
        signs: list[tuple[Result | None, Result | None]] = [(result, raised), (lowered, result)]
        if name.startswith("floor"):  # the higher a floor, the less the plan is worth
            signs = [(raised, result), (result, lowered)]
        gain, loss = (_per_unit(lower, upper, step) for lower, upper in signs)
        text = _in_words(name, gain, loss)
        found.append(LimitCost(name, stated, ends[0], gain, ends[1], loss, text))
    return tuple(found)


def _limits(case: Case) -> Iterator[tuple[str, float, Changed]]:
    """Name, value and how to change it, of every limit above 0."""
    limits = case.limits
    yield from (
        (name, value, partial(_with_limit, name=name))
        for name in ("capital", "recurrent", "trainer_days")
        if (value := getattr(limits, name))
    )
    for programme, money in sorted(limits.earmarks.items()):
        if money > 0:
            yield f"earmarks.{programme}", money, partial(_with_earmark, programme=programme)
    for area in sorted(case.areas, key=lambda each: each.code):
        if area.floor > 0:
            yield f"floor.{area.code}", area.floor, partial(_with_floor, area=area.code)


def _with_capital(case: Case, value: float) -> Case:
    return _with_limit(case, value, name="capital")


def _with_limit(case: Case, value: float, *, name: str) -> Case:
    limits = case.limits.model_copy(update={name: value})
    return case.model_copy(update={"limits": limits})


def _with_earmark(case: Case, value: float, *, programme: str) -> Case:
    earmarks = {**case.limits.earmarks, programme: value}
    limits = case.limits.model_copy(update={"earmarks": earmarks})
    return case.model_copy(update={"limits": limits})


def _with_floor(case: Case, value: float, *, area: str) -> Case:
    areas = tuple(
        each.model_copy(update={"floor": min(1.0, value)}) if each.code == area else each
        for each in case.areas
    )
    return case.model_copy(update={"areas": areas})


def _planned(case: Case, gap: float, watch: Watch) -> Result | None:
    try:
        found = plan(case, gap=gap, seconds=watch.left, cancelled=lambda: watch.cancelled)
    except NoPlanError:
        return None
    return None if found.objective is None else found


def _per_unit(
    lower: Result | None, upper: Result | None, step: float
) -> tuple[float, float] | None:
    if lower is None or upper is None:
        return None
    least, most = _between(lower, upper)
    return least / step, most / step


def _between(lower: Result, upper: Result) -> tuple[float, float]:
    """How much more the best of ``upper`` is worth than that of ``lower``, at least and at most."""
    ends = (lower.objective, lower.bound, upper.objective, upper.bound)
    if None in ends:
        raise NoPlanError(
            "There is no plan within these limits.", remedy="Relax what its reasons name."
        )
    value, bound, other_value, other_bound = (float(end or 0.0) for end in ends)
    least = max(0.0, other_value - bound)
    return least, max(least, other_bound - value)


def _in_words(name: str, gain: tuple[float, float] | None, loss: tuple[float, float] | None) -> str:
    more, less = ("less", "more") if name.startswith("floor") else ("more", "less")
    parts = [
        f"one {word} of it brings {_interval(*ends)} {effect}"
        for word, ends, effect in (("more", gain, more), ("less", loss, less))
        if ends is not None
    ]
    if not parts:
        return f"{name}: no plan was found beside it."
    return f"{name}: {'; '.join(parts)} (weighted correct tests a year)."


def _interval(least: float, most: float) -> str:
    if most - least <= _NOTHING * max(1.0, most):
        return f"{most:,.4g}"
    return f"{least:,.4g} to {most:,.4g}"
