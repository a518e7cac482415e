"""Does the plan get as far in what the case asks for as the result says?"""

from collections import defaultdict
from collections.abc import Iterator
from math import fsum

from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.staged import stage_violations
from planner.engine.allocation.verify.violation import Violation, differs, exceeds, figure
from planner.engine.asking import LeastMoney, WorstFirst
from planner.engine.case import Action, Result, Volume

Done = dict[tuple[str, str], float]
"""Tests a year by origin and test."""


def violations(
    facts: Facts, actions: list[Action], volumes: list[Volume], result: Result
) -> Iterator[Violation]:
    """What is wrong with the stages of a planned result of version 2, and what goes with them."""
    yield from _minimum_sets(facts, volumes, result)
    yield from _targets(facts, volumes, result)
    yield from _groups(facts, volumes, result)
    yield from stage_violations(facts, result, spent=fsum(action.cost for action in actions))


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
