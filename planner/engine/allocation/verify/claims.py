"""What a result says about itself: status, objective, bound, gap, reasons."""

from collections.abc import Iterator

from planner.engine.allocation.verify import before, value
from planner.engine.allocation.verify.facts import Facts, standing
from planner.engine.allocation.verify.violation import Violation, differs, exceeds, figure
from planner.engine.case import Result, Volume

_GAP_ROUNDING = 1e-9


def violations(
    facts: Facts, volumes: list[Volume], trusted: list[Volume], result: Result
) -> Iterator[Violation]:
    """What is wrong with the claims; ``trusted`` volumes are known to keep all limits."""
    today = standing(facts, ())
    possible = before.bracket(facts, today, trusted)
    least, most = possible.least, possible.most
    if exceeds(least, result.objective_before) or exceeds(result.objective_before, most):
        text = f"objective_before is stated as {figure(result.objective_before)}; the district "
        text += f"can do at least {figure(least)} and at most {figure(most)} today."
        yield Violation("objective-before", text)
    must_act = any(fixed.at_least for fixed in facts.case.fixed)
    idle_will_do = not must_act and not any(value.floor_violations(facts, possible.volumes))
    if result.status == "infeasible":
        yield from _infeasible(result, doing_nothing_will_do=idle_will_do)
        yield from _reasons(facts, result)
    else:
        yield from _planned(facts, volumes, result, least if idle_will_do else 0.0)


def _planned(
    facts: Facts, volumes: list[Volume], result: Result, surely: float
) -> Iterator[Violation]:
    if result.reasons:
        text = f"The status is {result.status}, but reasons for there being no plan are given."
        yield Violation("reasons", text)
    stated, bound, gap = result.objective, result.bound, result.gap
    if stated is None or bound is None or gap is None:
        text = f"The status is {result.status}, so objective, bound and gap must be numbers."
        yield Violation("status", text)
        return
    found = value.objective(facts, volumes)
    if differs(stated, found):
        text = f"The objective is stated as {figure(stated)}, the volumes are worth "
        yield Violation("objective", text + f"{figure(found)}.")
    # What is sought first may ask for less worth than doing nothing has.
    sought = bool(facts.case.minimum_sets) or facts.case.aim.kind != "most"
    reached = stated if sought else max(stated, surely)
    floors = any(area.floor for area in facts.case.areas)
    if not sought and not floors and not any(fixed.at_least for fixed in facts.case.fixed):
        reached = max(reached, result.objective_before)  # doing nothing new is then a plan
    if exceeds(reached, bound):
        text = f"The bound is stated as {figure(bound)}, but {figure(reached)} is reached."
        yield Violation("bound", text)
    expected = (bound - stated) / max(abs(stated), 1e-9)
    if abs(gap - expected) > _GAP_ROUNDING * max(1.0, abs(expected)):
        text = f"The gap is stated as {gap:.10g}, from bound and objective it is {expected:.10g}."
        yield Violation("gap", text)
    yield from value.floor_violations(facts, volumes)


def _infeasible(result: Result, *, doing_nothing_will_do: bool) -> Iterator[Violation]:
    if (result.objective, result.bound, result.gap) != (None, None, None):
        text = "The status is infeasible, so objective, bound and gap must be null."
        yield Violation("status", text)
    money = (result.money.capital, result.money.recurrent, *result.money.earmarks.values())
    if result.actions or result.volumes or any(money):
        text = "The status is infeasible, so there can be no actions, volumes or money."
        yield Violation("status", text)
    if doing_nothing_will_do:
        text = "The status is infeasible, but without any action every limit and floor is kept."
        yield Violation("status", text)


def _reasons(facts: Facts, result: Result) -> Iterator[Violation]:
    if not result.reasons:
        text = "The status is infeasible, but no limit is named that would have to give."
        yield Violation("reasons", text)
    stated = _relaxable(facts)
    for reason in result.reasons:
        value_there = stated.get(reason.limit)
        if value_there is None:
            text = f"{reason.limit} is named as a reason; the case has no such limit."
            yield Violation("reasons", text)
            continue
        if differs(reason.stated, value_there):
            text = f"{reason.limit} is quoted as {figure(reason.stated)}, "
            yield Violation("reasons", text + f"the case has {figure(value_there)}.")
        is_floor = reason.limit.startswith("areas.")
        if (reason.needed >= reason.stated) if is_floor else (reason.needed <= reason.stated):
            text = f"{reason.limit} = {figure(reason.needed)} would not relax it."
            yield Violation("reasons", text)


def _relaxable(facts: Facts) -> dict[str, float | None]:
    """What may be relaxed, by its place in the case; ``None`` where there is no limit."""
    limits = facts.case.limits
    return {
        "limits.capital": limits.capital,
        "limits.recurrent": limits.recurrent,
        "limits.trainer_days": limits.trainer_days,
        **{f"limits.earmarks.{code}": money for code, money in limits.earmarks.items()},
        **{f"areas.{area.code}.floor": area.floor for area in facts.case.areas},
    }
