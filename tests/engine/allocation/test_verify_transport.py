"""The judge's maximum flow against ``scipy.sparse.csgraph.maximum_flow`` and by hand."""

import random

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from planner.engine.allocation.verify.transport import Shortage, shortage


def test_demands_that_fit_exactly_are_served():
    demand = {frozenset("a"): 60.0, frozenset("ab"): 40.0}

    assert shortage({"a": 60.0, "b": 40.0}, demand) is None


def test_the_demands_that_are_too_large_are_named_with_their_sources():
    demand = {frozenset("a"): 61.0, frozenset("ab"): 30.0, frozenset("b"): 5.0}

    found = shortage({"a": 60.0, "b": 40.0}, demand)

    assert found == Shortage(frozenset("a"), asked=61.0, available=60.0)


def test_a_source_is_given_over_to_whom_nobody_else_can_serve():
    # Greedy service of the first demand from "a" leaves the second short.
    demand = {frozenset("ab"): 50.0, frozenset("a"): 50.0}

    assert shortage({"a": 50.0, "b": 50.0}, demand) is None


def test_a_demand_that_no_source_may_serve_is_a_shortage():
    found = shortage({"a": 1.0}, {frozenset(): 2.0})

    assert found == Shortage(frozenset(), asked=2.0, available=0.0)


def test_nothing_asked_is_no_shortage():
    assert shortage({}, {frozenset("a"): 0.0}) is None


@pytest.mark.parametrize("seed", range(200))
def test_what_stays_unserved_is_what_a_general_maximum_flow_leaves(seed):
    draw = random.Random(seed)
    supply = {source: float(draw.randint(0, 30)) for source in "abcde"[: draw.randint(1, 5)]}
    demand = {
        frozenset(draw.sample(sorted(supply), draw.randint(0, len(supply)))): float(
            draw.randint(0, 30)
        )
        for _ in range(draw.randint(1, 7))
    }

    found = shortage(supply, demand)

    unserved = sum(demand.values()) - largest_flow(supply, demand)
    assert (found.asked - found.available if found else 0) == unserved


def largest_flow(supply: dict[str, float], demand: dict[frozenset[str], float]) -> int:
    """From node 0 over sources and demands to the last node; whole numbers only."""
    sources, groups = sorted(supply), list(demand)
    last = 1 + len(sources) + len(groups)
    capacity = np.zeros((last + 1, last + 1), dtype=np.int32)
    for row, source in enumerate(sources, start=1):
        capacity[0, row] = supply[source]
        for column, group in enumerate(groups, start=1 + len(sources)):
            capacity[row, column] = 1000 if source in group else 0
    for row, group in enumerate(groups, start=1 + len(sources)):
        capacity[row, last] = demand[group]
    return int(maximum_flow(csr_array(capacity), 0, last).flow_value)
