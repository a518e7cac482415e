"""Which needs, methods and tests each site can meet with what it has today.

A need is met by one working unit of a model that suits it and whose evidence is accepted. A
method runs where all its needs are met and the site has its skills and infrastructure; a
test runs where one of its methods does. Where a method would run if a specification that
is not known turned out to be met, it is unknown: not counted as running, not shown as
failing. Hours of machines and staff play no part here: they limit how many, not whether.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Self

import numpy as np

from planner.engine.case import Case
from planner.engine.matching import Suitability, Verdict, suitability
from planner.engine.matching.verdicts import Bools, Codes
from planner.engine.tables import CaseTables, Ints, case_tables, positions


@dataclass(frozen=True)
class Capability:
    """What runs where, in codes of ``Verdict``: ``needs`` (S, N), ``methods`` (S, M),
    ``tests`` (S, T).

    MET runs, UNKNOWN would run if an unknown specification were met, NOT_MET does not. A
    test without a method is NOT_MET. ``best_method`` (S, T) is the position of the method
    that runs with the highest sensitivity, then the lowest consumable cost, then the first
    code; -1 where none runs.
    """

    needs: Codes
    methods: Codes
    tests: Codes
    best_method: Ints


@dataclass(frozen=True)
class Situation:
    """A case with its tables, its suitability and what its sites are capable of."""

    case: Case
    tables: CaseTables
    suitability: Suitability
    capability: Capability

    @cached_property
    def site_position(self) -> dict[str, int]:
        """Code of a site to its position."""
        return positions(self.case.sites)

    @cached_property
    def test_position(self) -> dict[str, int]:
        """Code of a test to its position."""
        return positions(self.case.tests)

    @classmethod
    def of(cls, case: Case) -> Self:
        tables, suits = case_tables(case), suitability(case)
        return cls(case, tables, suits, capability(tables, suits))


def capability(tables: CaseTables, suitability: Suitability) -> Capability:
    """What each site can run with its working units, skills and infrastructure."""
    needs = _needs(tables.working, suitability)
    methods = _methods(needs, tables, suitability.method_needs)
    tests = np.full(tables.demand.shape, Verdict.NOT_MET, dtype=np.int8)
    best_method = np.full(tables.demand.shape, -1, dtype=np.int64)
    for method in tables.best_first[::-1]:
        test = tables.method_test[method]
        np.maximum(tests[:, test], methods[:, method], out=tests[:, test])
        best_method[methods[:, method] == Verdict.MET, test] = method
    return Capability(needs, methods, tests, best_method)


def _needs(working: Bools, suitability: Suitability) -> Codes:
    # Products of 0/1 matrices in single precision: exact for counts of this size, and fast.
    units = working.astype(np.float32)
    needs = np.full((len(working), len(suitability.needs)), Verdict.NOT_MET, dtype=np.int8)
    needs[units @ suitability.may_suit.T.astype(np.float32) > 0] = Verdict.UNKNOWN
    needs[units @ suitability.suits.T.astype(np.float32) > 0] = Verdict.MET
    return needs


def _methods(needs: Codes, tables: CaseTables, method_needs: tuple[tuple[int, ...], ...]) -> Codes:
    methods = np.full((len(needs), len(method_needs)), Verdict.MET, dtype=np.int8)
    for method, of_method in enumerate(method_needs):
        verdicts = methods[:, method]
        for need in of_method:
            np.minimum(verdicts, needs[:, need], out=verdicts)
        ready = tables.skills[:, tables.method_skills[method]].all(axis=1)
        ready &= tables.infrastructure[:, tables.method_infrastructure[method]].all(axis=1)
        verdicts[~ready] = Verdict.NOT_MET
    return methods
