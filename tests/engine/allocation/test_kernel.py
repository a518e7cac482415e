"""The compiled search at one site against HiGHS on the tight program of the same site."""

import json

import numpy as np
import pytest

from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.kernel import price_sites
from planner.engine.allocation.national.country import country_of
from planner.engine.allocation.national.exact import SitePrograms
from planner.engine.allocation.national.shared import Toll, prices_of
from planner.engine.allocation.progress import Watch
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.independent.judged import changed

SITES = 12
CLOSE = 1e-6


def loaded(times: float, seed: int, *, staffed: bool) -> Instance:
    """A country whose people ask for ``times`` as much, with staff to match if ``staffed``."""

    def heavier(document):
        for site in document["sites"]:
            site["demand"] = {test: times * volume for test, volume in site["demand"].items()}
            site["staff_hours"] *= times if staffed else 1

    return instance_of(changed(generate_case(SITES, 25, seed), heavier))


def searched(instance: Instance, money: float, nodes: int):
    """Value, bound and nodes of every site at a price of money, and those prices."""
    country = country_of(instance)
    assert country is not None
    shared = country.shared
    row = np.zeros(shared.rows)
    row[np.argmax(shared.paid.sum(axis=1))] = money
    row[shared.running], row[shared.training] = 0.1, 1.0
    prices = prices_of(shared, Toll(row, np.zeros(len(shared.floor))))
    value, bound = np.zeros(SITES), np.zeros(SITES)
    seen = np.zeros(SITES, dtype=np.int64)
    quantity = np.zeros(len(country.blocks.action), dtype=np.int64)
    price_sites(np.arange(SITES), country.blocks, prices, nodes, 1e-9, quantity, value, bound, seen)
    return value, bound, seen, prices


def optimum(instance: Instance, prices) -> np.ndarray:
    """What HiGHS finds best at each site."""
    programs = SitePrograms(instance)
    answers = [programs.best(site, prices, Watch(60), gap=0.0, seconds=60) for site in range(SITES)]
    return np.array([bound for _, bound in answers])


@pytest.mark.parametrize("money", [0.1, 0.6])
@pytest.mark.parametrize("times", [1, 4, 10, 25])
def test_the_bound_of_a_site_is_never_below_its_optimum_nor_its_value_above(times, money):
    instance = loaded(times, 3, staffed=True)

    value, bound, _, prices = searched(instance, money, nodes=300)
    best = optimum(instance, prices)

    assert (bound >= best * (1 - CLOSE)).all()
    assert (value <= best * (1 + CLOSE)).all()


@pytest.mark.parametrize("seed", range(4))
def test_ordinary_sites_are_solved_to_their_optimum(seed):
    instance = loaded(1, seed, staffed=False)

    value, bound, seen, prices = searched(instance, 0.3, nodes=3000)

    assert value == pytest.approx(optimum(instance, prices), rel=CLOSE)
    assert bound == pytest.approx(value, rel=CLOSE)
    assert seen.max() > 1  # some of them need a tree


@pytest.mark.parametrize("times", [1, 25])
def test_a_search_cut_short_after_one_node_still_proves_its_bound(times):
    instance = loaded(times, 5, staffed=True)

    value, bound, _, prices = searched(instance, 0.3, nodes=1)

    best = optimum(instance, prices)
    assert (bound >= best * (1 - CLOSE)).all()
    assert (value <= best * (1 + CLOSE)).all()
    assert (bound > best * (1 + CLOSE)).any()  # one node does not close them all


def test_heavy_loads_make_machine_hours_bind():
    """Else the loads above would test nothing that ordinary ones do not."""
    rows = [np.diff(country_of(loaded(times, 3, staffed=True)).blocks.row_at) for times in (1, 25)]

    assert rows[0].mean() < 2
    assert rows[1].mean() > 8


def test_the_same_sites_are_priced_the_same_in_any_order():
    case = generate_case(SITES, 25, 7)
    document = case.to_json()
    document["sites"] = document["sites"][::-1]
    turned = Case.read(json.dumps(document))

    value, *_ = searched(instance_of(case), 0.3, nodes=300)
    again, *_ = searched(instance_of(turned), 0.3, nodes=300)

    assert (value == again).all()
