"""Are the stages of a result those of its case, and do they reach what they say?"""

from collections.abc import Iterator
from math import fsum

from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.violation import Violation, differs, exceeds, figure
from planner.engine.answering import Stage
from planner.engine.asking import LeastMoney, WorstFirst
from planner.engine.case import Result

_GAP_ROUNDING = 1e-9


def stage_violations(facts: Facts, result: Result, *, spent: float) -> Iterator[Violation]:
    """What is wrong with the stages; ``spent`` is what all actions cost."""
    for stage in result.stages:
        yield from _stage(stage, _now(stage, result, spent))
        if stage.of == "worth" and result.bound is not None and differs(stage.bound, result.bound):
            text = f"The bound of the last stage is {figure(stage.bound)}, that of the result "
            yield Violation("stages", text + f"{figure(result.bound)}.")
    yield from _order(facts, result)


def _stage(stage: Stage, now: float) -> Iterator[Violation]:
    if differs(stage.reached, now):
        text = f"The stage {stage.of} is stated to reach {figure(stage.reached)}, "
        yield Violation("stages", text + f"it reaches {figure(now)}.")
    if _is_beyond(stage):
        text = f"The bound of the stage {stage.of} is {figure(stage.bound)}, but the plan reaches "
        yield Violation("stages", text + f"{figure(stage.reached)}.")
    expected = abs(stage.bound - stage.reached) / max(abs(stage.reached), 1e-9)
    if abs(stage.gap - expected) > _GAP_ROUNDING * max(1.0, expected):
        text = f"The gap of the stage {stage.of} is stated as {stage.gap:.10g}, "
        yield Violation("stages", text + f"from its bound it is {expected:.10g}.")


def _is_beyond(stage: Stage) -> bool:
    """The plan does better than what was proved to be the best."""
    if stage.of == "worth":
        return False  # the bound of the result itself, which is judged as such
    if stage.of == "money":
        return exceeds(stage.bound, stage.reached)
    return exceeds(stage.reached, stage.bound)


def _now(stage: Stage, result: Result, spent: float) -> float:
    """What the plan reaches of what the stage seeks."""
    if stage.of == "minimum_sets":
        return sum(pair.reached for pair in result.minimum_sets)
    if stage.of == "targets":
        return fsum(min(1.0, t.reached / t.share) if t.share else 1.0 for t in result.targets)
    if stage.of == "money":
        return spent
    if stage.of == "worth":
        return result.objective or 0.0
    shares = [g.reached / g.attainable for g in result.groups if g.code in stage.groups]
    # Those that rise no further stay at the level of the stage, or a rounding above it.
    lowest = min(shares, default=0.0)
    return stage.reached if lowest >= stage.reached * (1 - 1e-5) else lowest


def _order(facts: Facts, result: Result) -> Iterator[Violation]:
    """The stages that the case asks for, in their order, the worth last."""
    aim = facts.case.aim
    wanted = ["minimum_sets"] if result.minimum_sets else []
    if isinstance(aim, LeastMoney):
        wanted += ["targets", "money"] if aim.targets else ["money"]
    found = [stage.of for stage in result.stages if stage.of != "worst_first"]
    fair = any(stage.of == "worst_first" for stage in result.stages)
    ended_early = result.status == "feasible"
    complete = found == [*wanted, "worth"] and fair == bool(result.groups)
    if fair and not isinstance(aim, WorstFirst):
        complete = False
    if not complete and not (ended_early and found[-1:] == ["worth"]):
        text = f"The stages are {', '.join(found) or 'none'}; the case asks for "
        yield Violation("stages", text + f"{', '.join([*wanted, 'worth'])}.")
