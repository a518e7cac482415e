"""The state of every test at every site, as arrays.

Which state a site and test have, the first that holds:

1. it *runs* on site, whether or not the site's own people ask for it: others may send to it;
2. it is *not expected*: there is no demand for it at the site;
3. it is *referred*: a site where it runs can be reached while the specimen keeps;
4. it is *unknown*: it would run if an unknown specification turned out to be met;
5. it is *blocked*.

A referral does not settle what is unknown, so the question of an unknown test is kept
beside the referral. Specimens travel one link. Of the sites in reach the cheapest is
taken, then the fastest, then the first by code.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Self

import numpy as np

from planner.engine.capability import Situation
from planner.engine.case import Case
from planner.engine.gaps import MethodFixes
from planner.engine.matching import Verdict
from planner.engine.matching.verdicts import Bools, Codes
from planner.engine.tables import CaseTables, Floats, Ints


class State(StrEnum):
    """What a site can do about a test, from the best to the worst where people ask for it."""

    RUNS = "runs"
    REFERRED = "referred"
    UNKNOWN = "unknown"
    BLOCKED = "blocked"
    NOT_EXPECTED = "not_expected"


STATES: tuple[State, ...] = tuple(State)
_CODE = {state: np.int8(code) for code, state in enumerate(STATES)}


@dataclass(frozen=True)
class Assessment:
    """One cell for each site and test, in the order of the case; shape (S, T) throughout.

    ``state``: position in ``STATES``. ``referral_link``: position in ``tables.links`` of the
    link that specimens take, -1 where none do. ``method``: position of the method that does
    the test, on site or where it is referred to; -1 where none does. ``fix_method``: the
    method that is cheapest to make run on site (of equal costs the better one), -1 where
    the test runs, is not expected, or nothing money can buy makes it run. ``fix_cost``: what
    that costs, in money: 0 where the test runs, infinite where nothing helps, not-a-number
    where it is not expected.
    """

    situation: Situation
    state: Codes
    method: Ints
    referral_link: Ints
    fix_method: Ints
    fix_cost: Floats

    @classmethod
    def of(cls, case: Case) -> Self:
        """Every cell of ``case``, with the cheapest fix where the test does not run."""
        situation = Situation.of(case)
        tables, capable = situation.tables, situation.capability
        runs, expected = capable.tests == Verdict.MET, tables.demand > 0
        referral_link = np.where(expected & ~runs, _referral_links(tables, runs), -1)
        state = np.full(runs.shape, _CODE[State.BLOCKED])
        state[capable.tests == Verdict.UNKNOWN] = _CODE[State.UNKNOWN]
        state[referral_link >= 0] = _CODE[State.REFERRED]
        state[~expected] = _CODE[State.NOT_EXPECTED]
        state[runs] = _CODE[State.RUNS]
        method = capable.best_method.copy()
        sites, tests = np.nonzero(referral_link >= 0)
        at = tables.links.to[referral_link[sites, tests]]
        method[sites, tests] = capable.best_method[at, tests]
        fix_method, fix_cost = _fixes(situation, expected & ~runs)
        fix_cost[runs] = 0.0
        return cls(situation, state, method, referral_link, fix_method, fix_cost)

    @property
    def referral_site(self) -> Ints:
        """Position of the site where the test is done for the people of another; else -1."""
        to = np.append(self.situation.tables.links.to, -1)
        return to[self.referral_link]

    def is_state(self, *states: State) -> Bools:
        """(S, T): the cell has one of ``states``."""
        return np.isin(self.state, [_CODE[state] for state in states])


def _referral_links(tables: CaseTables, runs: Bools) -> Ints:
    """For each site and test the preferred link to a site that runs it in time, or -1."""
    links, preferred = tables.links, np.full(runs.shape, -1, dtype=np.int64)
    for test, limit_hours in enumerate(tables.max_transport_hours):
        usable = np.flatnonzero((links.hours <= limit_hours) & runs[links.to, test])
        # Links are sorted by origin and preference, so the first of each origin is taken.
        origin, first = np.unique(links.origin[usable], return_index=True)
        preferred[origin, test] = usable[first]
    return preferred


def _fixes(situation: Situation, wanted: Bools) -> tuple[Ints, Floats]:
    """The method cheapest to make run and its cost, in the cells that are ``wanted``."""
    fix_method = np.full(wanted.shape, -1, dtype=np.int64)
    fix_cost = np.where(wanted, np.inf, np.nan)
    for method in situation.tables.best_first:
        test = situation.tables.method_test[method]
        sites = np.flatnonzero(wanted[:, test])
        costs = MethodFixes(situation, int(method)).costs(sites)
        # Better methods come first, and only a lower cost displaces them.
        cheaper = costs < fix_cost[sites, test]
        fix_cost[sites[cheaper], test] = costs[cheaper]
        fix_method[sites[cheaper], test] = method
    return fix_method, fix_cost
