"""What a plan is to reach beside most tests: minimum sets, targets, fair shares, as arrays."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats
from planner.engine.allocation.catalogue import Catalogue
from planner.engine.asking import LeastMoney, Target, WorstFirst
from planner.engine.case import Case


@dataclass(frozen=True)
class Pair:
    """A test that the people of a site are to get of a minimum set, in a share of their demand."""

    set_code: str
    site: int
    test: int
    share: float


@dataclass(frozen=True)
class Group:
    """The people of some sites and some tests (masks): what a target or a fair share is about.

    ``possible`` is the largest objective that they could have, whatever it costs.
    """

    code: str
    sites: Bools
    tests: Bools
    possible: float


@dataclass(frozen=True)
class Asked:
    """What is to be reached first: ``pairs`` of minimum sets, then ``targets`` (with their
    shares) at least money, or each of ``groups``, the worst-off first."""

    pairs: tuple[Pair, ...] = ()
    targets: tuple[tuple[Group, float], ...] = ()
    groups: tuple[Group, ...] = ()
    least_money: bool = False

    @property
    def anything(self) -> bool:
        return bool(self.pairs or self.groups or self.least_money)


def asked_of(case: Case, catalogue: Catalogue, demand: Floats) -> Asked:
    """What a sorted ``case`` asks for; ``demand`` is sites × tests."""
    worth = demand * catalogue.best_value
    targets: tuple[tuple[Group, float], ...] = ()
    groups: tuple[Group, ...] = ()
    if isinstance(case.aim, LeastMoney):
        targets = tuple((_target(case, target, worth), target.share) for target in case.aim.targets)
    elif isinstance(case.aim, WorstFirst):
        groups = tuple(_groups(case, case.aim, worth))
    return Asked(
        pairs=tuple(_pairs(case, demand)),
        targets=targets,
        groups=groups,
        least_money=isinstance(case.aim, LeastMoney),
    )


def _pairs(case: Case, demand: Floats) -> Iterator[Pair]:
    """By set, site and test; where nobody asks for the test there is nothing to reach."""
    number = {test.code: index for index, test in enumerate(case.tests)}
    for minimum in sorted(case.minimum_sets, key=lambda each: each.code):
        for index, site in enumerate(case.sites):
            for test in sorted(minimum.tests) if site.level in minimum.levels else ():
                if demand[index, number[test]] > 0:
                    yield Pair(minimum.code, index, number[test], minimum.share)


def _target(case: Case, target: Target, worth: Floats) -> Group:
    sites = [target.area in (None, site.area) for site in case.sites]
    tests = [target.programme in (None, test.programme) for test in case.tests]
    return _group("", sites, tests, worth)


def _groups(case: Case, aim: WorstFirst, worth: Floats) -> Iterator[Group]:
    """Areas by code or levels by number, those for whom anything could be done."""
    if aim.over == "areas":
        keys = [site.area for site in case.sites]
        codes = [area.code for area in case.areas]
    else:
        keys = [str(site.level) for site in case.sites]
        codes = [str(level) for level in sorted({site.level for site in case.sites})]
    for code in codes:
        group = _group(code, [key == code for key in keys], [True] * len(case.tests), worth)
        if group.possible > 0:
            yield group


def _group(code: str, sites: list[bool], tests: list[bool], worth: Floats) -> Group:
    of_sites, of_tests = np.array(sites, dtype=bool), np.array(tests, dtype=bool)
    return Group(code, of_sites, of_tests, float(worth[of_sites][:, of_tests].sum()))
