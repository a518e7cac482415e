"""What the volumes are worth, to everybody and to the people of each area."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.violation import Violation, exceeds, figure
from planner.engine.case import Volume


def objective(facts: Facts, volumes: Iterable[Volume]) -> float:
    """Sum of weight times sensitivity over the tests a year in ``volumes``."""
    return sum(facts.worth(facts.methods[v.method]) * v.per_year for v in volumes)


def floor_violations(facts: Facts, volumes: Iterable[Volume]) -> Iterator[Violation]:
    """Areas below their floor. A test counts for the area of the people it is done for."""
    reached: defaultdict[str, float] = defaultdict(float)
    for volume in volumes:
        area = facts.sites[volume.origin].area
        reached[area] += facts.worth(facts.methods[volume.method]) * volume.per_year
    possible = _possible(facts)
    for code, floor in ((area.code, area.floor) for area in facts.case.areas):
        least = floor * possible[code]
        if exceeds(least, reached[code]):
            text = f"{code} reaches {figure(reached[code])}; its floor is "
            text += f"{floor:g} × {figure(possible[code])} = {figure(least)}."
            yield Violation("floor", text)


def _possible(facts: Facts) -> defaultdict[str, float]:
    """Area -> demand times weight times the best sensitivity of any method of the test."""
    best: defaultdict[str, float] = defaultdict(float)
    for method in facts.case.methods:
        best[method.test] = max(best[method.test], facts.worth(method))
    possible: defaultdict[str, float] = defaultdict(float)
    for site in facts.case.sites:
        possible[site.area] += sum(best[test] * asked for test, asked in site.demand.items())
    return possible
