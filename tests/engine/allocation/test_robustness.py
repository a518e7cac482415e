"""A plan under many futures: draws, recourse, regret, and figures held against SciPy."""

from functools import partial

import numpy as np
import pytest
from scipy import stats

from planner.engine.allocation import plan, today
from planner.engine.allocation.explain import after, packages
from planner.engine.allocation.robustness import (
    Assumptions,
    certain,
    robustness,
    spread_of,
    worst_tenth,
)
from planner.engine.allocation.robustness.draws import draw
from planner.engine.allocation.robustness.recourse import by_merit, value_in, worth_of_service
from planner.engine.case import Case
from planner.engine.errors import EngineError, NoPlanError
from planner.engine.fanout import Here, Processes
from tests.benchmarks.generator import generate_case
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    stock,
)
from tests.factories.documents import EXAMPLE_PATH

SAMPLE = np.random.default_rng(3).lognormal(size=137).tolist()


def two_posts(**given):
    """Reading 100 tests at hill, 50 at lake; a reader costs 100 and there is money for two."""
    values = {
        "tests": [lab_test("sugar")],
        "methods": [method("strip", "sugar", need("reader"))],
        "device_models": [device_model("reader", serves("reader"), price=100, repair_cost=10)],
        "sites": [site("hill", demand={"sugar": 100}), site("lake", demand={"sugar": 50})],
        "limits": limits(capital=200),
    }
    return case(**{**values, **given})


def fixed_plan(asked):
    return by_merit(packages(asked, today(asked), plan(asked, gap=0)))


@pytest.fixture(scope="module")
def district():
    return generate_case(12, 12, 5)


@pytest.fixture(scope="module")
def planned(district):
    return plan(district, gap=0.001)


@pytest.fixture(scope="module")
def found(district, planned):
    return robustness(district, planned, draws=12, candidates=2, team=Here())


def test_figures_are_those_that_scipy_and_numpy_find():
    found = spread_of(SAMPLE)

    low, high = stats.t.interval(0.95, 136, loc=np.mean(SAMPLE), scale=stats.sem(SAMPLE))
    assert (found.mean, found.mean - found.half_width, found.mean + found.half_width) == (
        pytest.approx((np.mean(SAMPLE), low, high))
    )
    assert (found.p10, found.p50, found.p90) == tuple(np.percentile(SAMPLE, (10, 50, 90)))
    assert found.deviation == pytest.approx(np.std(SAMPLE, ddof=1))
    assert (found.least, found.greatest) == (min(SAMPLE), max(SAMPLE))


@pytest.mark.parametrize(
    ("values", "expected"),
    [(range(20), 0.5), (range(10), 0.0), ([7.0], 7.0), (range(15), (0 + 0.5 * 1) / 1.5)],
)
def test_the_worst_tenth_counts_a_value_in_part_where_a_tenth_is_no_whole_number(values, expected):
    assert worst_tenth(list(values)) == pytest.approx(expected)


def test_factors_of_prices_and_demand_have_the_stated_spread_and_mean_1():
    assumed = Assumptions(interruption=0.0)
    many = [draw(two_posts(), assumed, seed=1, number=n).case for n in range(2000)]

    price = np.array([each.device_models[0].price / 100 for each in many])
    demand = np.array([each.sites[0].demand["sugar"] / 100 for each in many])
    wide = np.hypot(0.15, 0.25)
    assert np.log(price).std() == pytest.approx(0.15, rel=0.05)
    assert np.log(demand).std() == pytest.approx(wide, rel=0.05)
    assert abs(price.mean() - 1) < 4 * 0.15 / np.sqrt(2000)
    assert abs(demand.mean() - 1) < 4 * wide / np.sqrt(2000)


def test_units_break_down_and_repairs_succeed_as_often_as_assumed():
    held = two_posts(stock=[stock("hill", "reader", working=1000, broken=1000)])
    future = draw(held, Assumptions(breakdown=0.2, repair_success=0.7), seed=1, number=0)

    repairs = future.repairs["hill", "reader"]
    assert future.case.stock[0].working == 2000 - len(repairs)
    assert stats.binomtest(len(repairs) - 1000, 1000, 0.2).pvalue > 0.001
    assert stats.binomtest(sum(repairs), len(repairs), 0.7).pvalue > 0.001
    assert future.case.stock[0].broken == sum(repairs)


def test_a_draw_depends_on_its_number_and_the_seed_and_not_on_the_order_of_lists():
    asked = two_posts(
        stock=[stock("lake", "reader", working=4), stock("hill", "reader", working=4)]
    )
    turned = asked.model_copy(update={"sites": asked.sites[::-1], "stock": asked.stock[::-1]})
    of = partial(draw, assumptions=Assumptions())

    def facts(future):
        return {each.code: each.demand for each in future.case.sites}, future.case.stock

    assert facts(of(asked, seed=1, number=3)) == facts(of(turned, seed=1, number=3))
    assert facts(of(asked, seed=1, number=3)) != facts(of(asked, seed=1, number=4))
    assert facts(of(asked, seed=1, number=3)) != facts(of(asked, seed=2, number=3))


def test_nothing_is_drawn_where_everything_is_certain():
    asked = two_posts(stock=[stock("hill", "reader", working=2, broken=1)])

    future = draw(asked, certain(), seed=1, number=0)

    assert future.case == asked
    assert future.repairs == {("hill", "reader"): (True,)}


@pytest.mark.parametrize(("price", "worth"), [(100, 150.0), (100.01, 100.0), (200.01, 0.0)])
def test_a_plan_that_overspends_drops_what_brings_least_for_its_money(price, worth):
    asked = two_posts()
    future = draw(asked, certain(), seed=1, number=0)
    dearer = asked.model_copy(
        update={"device_models": (device_model("reader", serves("reader"), price=price),)}
    )
    future = type(future)(0, dearer, {})

    assert value_in(fixed_plan(asked), future) == (worth, worth == 150.0)


def test_a_repair_that_fails_is_paid_for_and_brings_nothing():
    asked = two_posts(
        stock=[stock("hill", "reader", broken=1), stock("lake", "reader", broken=1)],
        limits=limits(capital=10),
    )
    future = draw(asked, certain(), seed=1, number=0)
    failing = type(future)(0, future.case, {("hill", "reader"): (False,)})

    assert value_in(fixed_plan(asked), future) == (100.0, True)
    assert value_in(fixed_plan(asked), failing) == (0.0, True)


def test_what_is_not_broken_any_more_need_not_be_repaired():
    asked = two_posts(stock=[stock("hill", "reader", broken=1)], limits=limits(capital=10))
    working = two_posts(stock=[stock("hill", "reader", working=1)], limits=limits(capital=0))
    future = draw(working, certain(), seed=1, number=0)

    assert value_in(fixed_plan(asked), future) == (100.0, True)


def test_without_actions_a_future_is_worth_what_can_be_done_today():
    """Both ways to work out volumes agree with the objective that the plan states."""
    for asked in (generate_case(12, 12, 5), generate_case(8, 10, 6, 2)):
        assert worth_of_service(asked) == pytest.approx(today(asked).objective)


def test_the_volumes_of_a_fixed_plan_are_worth_what_the_plan_states(district, planned):
    done = after(district, planned)
    upkeep = planned.money.recurrent - sum(
        volume.per_year
        * next(m.consumable_cost for m in district.methods if m.code == volume.method)
        for volume in planned.volumes
    )
    limits_left = done.limits.model_copy(update={"recurrent": done.limits.recurrent - upkeep})
    left = done.model_copy(update={"limits": limits_left})

    future = draw(district, certain(), seed=1, number=0)
    worth, paid_for = value_in(by_merit(packages(district, today(district), planned)), future)

    assert worth == pytest.approx(worth_of_service(left))
    assert worth == pytest.approx(planned.objective)
    assert paid_for


def test_where_everything_is_certain_nothing_is_regretted_and_every_action_is_always_there():
    asked = Case.read(EXAMPLE_PATH)
    found = robustness(
        asked, plan(asked, gap=0), draws=3, assumptions=certain(), gap=0, team=Here()
    )

    assert found.regret == spread_of([0.0] * 3)
    assert found.worth == spread_of([10_525.0] * 3)
    assert {(each.share, each.standing) for each in found.actions} == {(1.0, "safe")}
    assert found.overspent == 0


def test_a_regret_is_never_negative_and_never_above_what_bounds_allow(found):
    assert 0 <= found.regret.least <= found.regret.mean <= found.regret_at_most
    assert found.regret.greatest <= 1


def test_candidates_are_the_plan_and_those_of_the_first_draws_the_best_worst_tenth_first(found):
    assert sorted(each.source for each in found.candidates) == ["draw 0", "draw 1", "plan"]
    tails = [each.worst_tenth for each in found.candidates]
    assert tails == sorted(tails, reverse=True)
    assert found.worst_tenth in tails


def test_every_action_of_the_plan_has_its_frequency(planned, found):
    told = {(e.site, e.kind, e.item): e.quantity for e in found.actions if e.planned}

    assert told == {(a.site, a.kind, a.item): a.quantity for a in planned.actions}
    assert all(each.possible == 12 for each in found.actions if each.kind != "repair")
    assert all(0 <= each.share <= 1 and each.possible <= 12 for each in found.actions)


def test_two_processes_find_the_same_to_the_last_bit(district, planned, found):
    again = robustness(district, planned, draws=12, candidates=2, team=Processes(2))

    assert again == found


def test_the_first_draws_are_the_same_however_many_there_are(district, planned, found):
    fewer = robustness(district, planned, draws=5, candidates=2, team=Here())

    assert fewer.worth.least >= found.worth.least
    assert fewer.worth.greatest <= found.worth.greatest
    assert fewer.seed == found.seed


def test_a_cancelled_study_that_did_nothing_says_so(district, planned):
    with pytest.raises(NoPlanError):
        robustness(district, planned, draws=4, team=Here(), cancelled=lambda: True)


def test_a_cancelled_study_is_about_the_draws_that_were_done(district, planned, found):
    done = []

    part = robustness(
        district, planned, draws=12, candidates=2, team=Here(),
        progress=done.append, cancelled=lambda: len(done) >= 2,
    )  # fmt: skip

    assert (part.draws, part.asked) == (done[-1].done, 12)
    assert [each.source for each in part.candidates] == ["plan"]
    assert part.worth.least >= found.worth.least


def test_no_draws_are_refused(district, planned):
    with pytest.raises(EngineError, match="0 draws say nothing"):
        robustness(district, planned, draws=0, team=Here())


def test_an_assumption_that_cannot_be_is_refused_with_what_it_means():
    with pytest.raises(EngineError) as refused:
        Assumptions(breakdown=1.2)

    assert str(refused.value) == (
        "breakdown is 1.2, and must lie between 0 and 1. Enter the share of working units that "
        "break down."
    )
