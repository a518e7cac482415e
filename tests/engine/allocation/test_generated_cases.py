"""The invented cases on which speed is measured: repeatable, of the size asked, many-sided."""

from collections import Counter

import pytest

from planner.engine.allocation import plan
from tests.benchmarks.generator import generate_case


def test_the_same_numbers_give_the_same_case():
    assert generate_case(30, 10, 4, 2).sha256() == generate_case(30, 10, 4, 2).sha256()


def test_another_seed_gives_another_case():
    assert generate_case(30, 10, 4).sha256() != generate_case(30, 10, 5).sha256()


def test_a_district_has_what_a_district_has():
    case = generate_case(80, 60, 1, hubs_per_site=5)

    assert (len(case.sites), len(case.tests), len(case.device_models)) == (80, 60, 34)
    assert 90 <= len(case.methods) <= 120
    assert {site.level for site in case.sites} == {1, 2, 3}
    assert sum(len(model.serves) == 2 for model in case.device_models) == 4
    assert {model.evidence for model in case.device_models} == {"A", "B", "C", "D"}
    assert any(entry.broken for entry in case.stock)
    assert any(area.floor for area in case.areas)
    assert set(case.limits.earmarks) == {"fever", "chronic", "maternal"}


def test_every_site_has_as_many_links_as_asked_to_others_of_level_2_or_3():
    case = generate_case(80, 10, 1, hubs_per_site=5)
    level = {site.code: site.level for site in case.sites}

    links = Counter(link.origin for link in case.links)

    assert set(links.values()) <= {2, 5}  # the three hospitals have only each other
    assert all(level[link.to] >= max(2, level[link.origin]) for link in case.links)
    assert all(link.origin != link.to for link in case.links)


@pytest.mark.parametrize("seed", range(3))
def test_money_and_not_only_demand_decides_what_is_done(seed):
    """Neither everything nor nothing is possible, and a good part needs new devices."""
    case = generate_case(20, 30, seed)
    best = {}
    for method in case.methods:
        best[method.test] = max(best.get(method.test, 0), method.sensitivity)
    weight = {test.code: test.weight for test in case.tests}
    possible = sum(
        volume * weight[test] * best[test]
        for site in case.sites
        for test, volume in site.demand.items()
    )

    answer = plan(case, gap=0.01)

    assert 1.2 * answer.objective_before < answer.objective < 0.9 * possible
    assert answer.money.capital > 0.9 * case.limits.capital
