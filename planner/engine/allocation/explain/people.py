"""Who gains by a plan, and what of each site's demand is done before and after it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from planner.engine.case import Case, Result

FIFTHS = 5
_CHANGED = 1e-6


@dataclass(frozen=True, slots=True)
class SiteChange:
    """A site's people: tests a year that they ask for, and how many are done for them, anywhere."""

    code: str
    population: float
    asked: float
    before: float
    after: float

    @property
    def gains(self) -> bool:
        return self.after - self.before > _CHANGED * max(1.0, self.asked)


@dataclass(frozen=True, slots=True)
class Fifth:
    """A fifth of the people, by how much of their sites' demand is done before the plan.

    ``before`` and ``after`` are shares of what they ask for; ``None`` where they ask for nothing.
    """

    people: float
    before: float | None
    after: float | None


def site_changes(case: Case, before: Result, after: Result) -> tuple[SiteChange, ...]:
    """Every site of ``case`` in its order, under both results."""
    done = [_done(result) for result in (before, after)]
    return tuple(
        SiteChange(
            site.code,
            site.population,
            sum(site.demand.values()),
            done[0][site.code],
            done[1][site.code],
        )
        for site in case.sites
    )


def fifths(sites: Sequence[SiteChange]) -> tuple[Fifth, ...]:
    """People in fifths from those for whom least is done before the plan to those with most.

    A site that lies across the border of two fifths counts in both, by its people.
    """
    asking = [site for site in sites if site.asked > 0 and site.population > 0]
    worst_first = sorted(asking, key=lambda site: (site.before / site.asked, site.code))
    size = sum(site.population for site in worst_first) / FIFTHS
    sums = [[0.0] * 4 for _ in range(FIFTHS)]
    counted = 0.0
    for site in worst_first:
        for number in range(FIFTHS):
            start, end = number * size, (number + 1) * size
            people = min(end, counted + site.population) - max(start, counted)
            if people > 0:
                part = people / site.population
                amounts = (people, part * site.asked, part * site.before, part * site.after)
                sums[number] = [a + b for a, b in zip(sums[number], amounts, strict=True)]
        counted += site.population
    return tuple(
        Fifth(people, before / asked if asked else None, after / asked if asked else None)
        for people, asked, before, after in sums
    )


def _done(result: Result) -> defaultdict[str, float]:
    done: defaultdict[str, float] = defaultdict(float)
    for volume in result.volumes:
        done[volume.origin] += volume.per_year
    return done
