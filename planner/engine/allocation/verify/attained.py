"""Does the plan get as far in what the case asks for as the result says?"""

from collections import defaultdict
from collections.abc import Iterator
from math import fsum

from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.violation import Violation, differs, exceeds, figure
from planner.engine.answering import Stage
from planner.engine.asking import LeastMoney, WorstFirst
from planner.engine.case import Action, Result, Volume

_GAP_ROUNDING = 1e-9
Done = dict[tuple[str, str], float]
"""Tests a year by origin and test."""


def violations(
    facts: Facts, actions: list[Action], volumes: list[Volume], result: Result
) -> Iterator[Violation]:
    """What is wrong with the stages of a planned result of version 2, and what goes with them."""
    yield from _minimum_sets(facts, volumes, result)
    yield from _targets(facts, volumes, result)
    yield from _groups(facts, volumes, result)
    spent = fsum(action.cost for action in actions)
    for stage in result.stages:
        yield from _stage(stage, _now(stage, result, spent))
    yield from _order(facts, result)


def _stage(stage: Stage, now: float) -> Iterator[Violation]:
    if differs(stage.reached, now):
        text = f"The stage {stage.of} is stated to reach {figure(stage.reached)}, "
        yield Violation("stages", text + f"it reaches {figure(now)}.")
    beyond = exceeds(stage.bound, stage.reached) if stage.of == "money" else False
    if beyond or (stage.of != "money" and exceeds(stage.reached, stage.bound)):
        text = f"The bound of the stage {stage.of} is {figure(stage.bound)}, but the plan reaches "
        yield Violation("stages", text + f"{figure(stage.reached)}.")
    expected = abs(stage.bound - stage.reached) / max(abs(stage.reached), 1e-9)
    if abs(stage.gap - expected) > _GAP_ROUNDING * max(1.0, expected):
        text = f"The gap of the stage {stage.of} is stated as {stage.gap:.10g}, "
        yield Violation("stages", text + f"from its bound it is {expected:.10g}.")


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


def _minimum_sets(facts: Facts, volumes: list[Volume], result: Result) -> Iterator[Violation]:
    done = _done(facts, volumes)
    wanted = {
        (minimum.code, site.code, test): minimum.share
        for minimum in facts.case.minimum_sets
        for site in facts.case.sites
        if site.level in minimum.levels
        for test in minimum.tests
        if site.demand.get(test, 0.0) > 0
    }
    listed = [(pair.set, pair.site, pair.test) for pair in result.minimum_sets]
    if sorted(listed) != sorted(wanted):
        text = f"{len(listed)} pairs of minimum sets are listed; the case has {len(wanted)}, "
        yield Violation("minimum-sets", text + "each once.")
    for pair in result.minimum_sets:
        least = wanted.get((pair.set, pair.site, pair.test))
        if least is None:
            continue
        asked = facts.sites[pair.site].demand[pair.test]
        share = done.get((pair.site, pair.test), 0.0) / asked
        enough = not exceeds(least * asked, share * asked)
        if differs(pair.share, share) or pair.reached != enough or pair.reached != (not pair.why):
            text = f"{pair.test} at {pair.site} is stated at {figure(pair.share)}, "
            text += "reached" if pair.reached else "not reached"
            text += f"; {figure(share)} is done, {figure(least)} is asked."
            yield Violation("minimum-sets", text)


def _targets(facts: Facts, volumes: list[Volume], result: Result) -> Iterator[Violation]:
    aim = facts.case.aim
    stated = [(t.area, t.programme, t.share) for t in result.targets]
    wanted = aim.targets if isinstance(aim, LeastMoney) else ()
    if stated != [(t.area, t.programme, t.share) for t in wanted]:
        yield Violation("targets", "The targets are not those of the case, in its order.")
        return
    for target in result.targets:
        possible, worth = _worth(facts, volumes, target.area, target.programme, None)
        reached = worth / possible if possible else 1.0
        if differs(target.reached, reached):
            name = " and ".join(filter(None, (target.area, target.programme))) or "everybody"
            text = f"The target for {name} is stated to reach {figure(target.reached)}, "
            yield Violation("targets", text + f"it reaches {figure(reached)}.")


def _groups(facts: Facts, volumes: list[Volume], result: Result) -> Iterator[Violation]:
    aim = facts.case.aim
    known = {area.code for area in facts.case.areas}
    by_level = isinstance(aim, WorstFirst) and aim.over == "levels"
    if by_level:
        known = {str(site.level) for site in facts.case.sites}
    for group in result.groups:
        if group.code not in known or not isinstance(aim, WorstFirst):
            yield Violation("groups", f"{group.code} is not among what the case raises.")
            continue
        area, level = (None, int(group.code)) if by_level else (group.code, None)
        _, worth = _worth(facts, volumes, area, None, level)
        if differs(group.reached, worth):
            text = f"{group.code} is stated to reach {figure(group.reached)}, "
            yield Violation("groups", text + f"it reaches {figure(worth)}.")


def _worth(
    facts: Facts, volumes: list[Volume], area: str | None, programme: str | None, level: int | None
) -> tuple[float, float]:
    """The most that the people of an area or a level could get of a programme, and what they do."""
    sites = {
        code
        for code, site in facts.sites.items()
        if area in (None, site.area) and level in (None, site.level)
    }
    tests = {c for c, test in facts.tests.items() if programme in (None, test.programme)}
    best: defaultdict[str, float] = defaultdict(float)
    for method in facts.case.methods:
        best[method.test] = max(best[method.test], facts.worth(method))
    possible = fsum(
        best[test] * asked
        for code in sites
        for test, asked in facts.sites[code].demand.items()
        if test in tests
    )
    worth = fsum(
        facts.worth(facts.methods[volume.method]) * volume.per_year
        for volume in volumes
        if volume.origin in sites and facts.methods[volume.method].test in tests
    )
    return possible, worth


def _done(facts: Facts, volumes: list[Volume]) -> Done:
    done: defaultdict[tuple[str, str], float] = defaultdict(float)
    for volume in volumes:
        done[volume.origin, facts.methods[volume.method].test] += volume.per_year
    return done
