"""How much of what is asked for a plan does, by area and by programme."""

from collections import defaultdict
from dataclasses import dataclass
from typing import Literal

from planner.engine.case import Case, Result


@dataclass(frozen=True, slots=True)
class CoverageShare:
    """How much of what is asked for is done, for the people of an area or in a programme.

    ``asked`` and ``met`` in tests a year; ``worth_possible`` and ``worth_met`` weigh each
    test with its weight and the sensitivity of its best and of its actual method. Shares
    are ``None`` where nothing is asked.
    """

    scope: Literal["district", "area", "programme"]
    code: str
    name: str
    asked: float
    met: float
    worth_possible: float
    worth_met: float

    @property
    def met_share(self) -> float | None:
        return self.met / self.asked if self.asked else None

    @property
    def worth_share(self) -> float | None:
        return self.worth_met / self.worth_possible if self.worth_possible else None


def coverage_shares(case: Case, result: Result) -> tuple[CoverageShare, ...]:
    """The whole district, then each area (of the people served), then each programme.

    The same for ``today``'s result says what it was before the plan.
    """
    tests = {test.code: test for test in case.tests}
    methods = {method.code: method for method in case.methods}
    sites = {site.code: site for site in case.sites}
    best: defaultdict[str, float] = defaultdict(float)
    for method in case.methods:
        best[method.test] = max(best[method.test], method.sensitivity)
    sums: defaultdict[tuple[str, str], list[float]] = defaultdict(lambda: [0.0] * 4)

    def count(site: str, test: str, *amounts: float) -> None:
        area, programme = sites[site].area, tests[test].programme
        for key in (("district", ""), ("area", area), ("programme", programme)):
            sums[key] = [total + one for total, one in zip(sums[key], amounts, strict=True)]

    for site in case.sites:
        for test, asked in site.demand.items():
            count(site.code, test, asked, 0.0, asked * tests[test].weight * best[test], 0.0)
    for volume in result.volumes:
        method, done = methods[volume.method], volume.per_year
        worth = done * tests[method.test].weight * method.sensitivity
        count(volume.origin, method.test, 0.0, done, 0.0, worth)
    return (
        CoverageShare("district", "", case.title, *sums["district", ""]),
        *(CoverageShare("area", a.code, a.name, *sums["area", a.code]) for a in case.areas),
        *(
            CoverageShare("programme", p.code, p.name, *sums["programme", p.code])
            for p in case.programmes
        ),
    )
