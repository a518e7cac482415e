"""What actions cost for what they bring, what more money buys, limits, and sites that missed."""

import pytest

from planner.engine.allocation import plan, today
from planner.engine.allocation.explain import limit_costs, missed, next_money, packages
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.factories.cases import (
    area,
    case,
    device_model,
    lab_test,
    limits,
    link,
    method,
    need,
    serves,
    site,
    skill,
)
from tests.factories.documents import EXAMPLE_PATH


def posts(capital, **given):
    """A reader costs 1 000; it does 300 tests at hill, 200 at lake, 100 at moor."""
    values = {
        "tests": [lab_test("sugar")],
        "methods": [method("strip", "sugar", need("reader"), sensitivity=0.5)],
        "device_models": [device_model("reader", serves("reader"), price=1000)],
        "sites": [
            site("hill", demand={"sugar": 300}, population=10),
            site("lake", demand={"sugar": 200}, population=20),
            site("moor", demand={"sugar": 100}, population=30),
        ],
        "limits": limits(capital=capital),
    }
    return case(**{**values, **given})


def answered(asked):
    return plan(asked, gap=0)


def test_the_packages_of_the_example_by_hand():
    """850 = 0.85 x 900, and so on: demands and sensitivities of three-sites.json.

    Millford: 0.85 2 600 - 0 today; malaria 0.9 1 500; urine 0.8 700; TB smear 0.6 180.
    """
    asked = Case.read(EXAMPLE_PATH)

    found = packages(asked, today(asked), answered(asked))

    told = [(p.site, [a.item for a in p.actions], p.cost, p.people) for p in found]
    assert told == [
        ("ashbrook", ["spin-hand", "spinning"], 125, 5200),
        ("millford", ["crank", "micro-led", "spinning"], 360, 23_200),
        ("thornley", ["spin-hand"], 45, 7400),
        ("thornley", ["micro-led", "microscopy"], 1230, 7400),
    ]
    assert found[0].correct_per_year == pytest.approx(0.85 * 900)
    assert found[0].cost_per_correct_test == pytest.approx(125 / 765)
    assert found[2].correct_per_year == pytest.approx(0.85 * 1200)
    assert found[3].worth_per_year == pytest.approx(2 * 0.9 * 900 + 3 * 0.6 * 60)
    assert sum(p.worth_per_year for p in found) == pytest.approx(10_525)


def test_packages_bring_together_what_the_plan_adds_to_today():
    asked = generate_case(10, 12, 4)
    before, result = today(asked), plan(asked, gap=0.01)

    found = packages(asked, before, result)

    assert sorted(id(a) for p in found for a in p.actions) == sorted(id(a) for a in result.actions)
    added = sum(each.worth_per_year for each in found)
    assert added >= result.objective - before.objective - 1e-6
    assert all(each.worth_per_year >= 0 for each in found)


def test_the_next_1000_buy_the_next_reader():
    asked = posts(1000)

    found = next_money(asked, answered(asked), gap=0)

    assert (found.least, found.most) == (100.0, 100.0)
    assert [(each.site, each.item) for each in found.added] == [("lake", "reader")]
    assert found.dropped == ()
    assert found.text == "1,000 USD more would bring 100 weighted correct tests a year."


@pytest.mark.parametrize(("amount", "brings"), [(999.99, 0.0), (1000.0, 100.0), (2000.0, 150.0)])
def test_more_money_never_brings_less(amount, brings):
    asked = posts(1000)

    assert next_money(asked, answered(asked), amount=amount, gap=0).most == brings


def test_capital_that_just_suffices_costs_its_last_reader_and_not_the_next():
    """5 % more of 1 000 buys nothing; 5 % less, 50, loses the reader at hill: 150 / 50 = 3."""
    asked = posts(1000)

    (found,) = limit_costs(asked, answered(asked), gap=0)

    assert (found.limit, found.stated, found.raised_to, found.lowered_to) == (
        "capital", 1000, 1050, 950,
    )  # fmt: skip
    assert (found.gain, found.loss) == ((0.0, 0.0), (3.0, 3.0))
    assert found.text == (
        "capital: one more of it brings 0 more; one less of it brings 3 less (weighted correct "
        "tests a year)."
    )


def test_a_gap_widens_the_interval_and_the_true_cost_stays_inside():
    asked = generate_case(8, 10, 3)
    exact = {each.limit: each for each in limit_costs(asked, plan(asked, gap=0), gap=0)}
    rough = limit_costs(asked, plan(asked, gap=0.02), gap=0.02)

    for each in rough:
        least, most = each.gain
        assert least <= exact[each.limit].gain[1] + 1e-6
        assert most >= exact[each.limit].gain[0] - 1e-6


def test_a_floor_that_forces_money_elsewhere_has_a_cost_when_raised_and_lowered():
    """South (lake) must reach 0.5 of its 100, so its reader is bought and hill's is not."""
    asked = posts(1000, areas=[area("district"), area("south", floor=0.5)], sites=[
        site("hill", demand={"sugar": 300}),
        site("lake", area="south", demand={"sugar": 200}),
    ])  # fmt: skip

    floor = next(
        each for each in limit_costs(asked, answered(asked), gap=0) if "floor" in each.limit
    )

    assert (floor.limit, floor.gain, floor.loss) == ("floor.south", (0.0, 0.0), (0.0, 0.0))
    free = answered(posts(1000, sites=asked.sites, areas=[area("district"), area("south")]))
    assert free.objective - answered(asked).objective == pytest.approx(50)


def test_a_site_that_got_nothing_is_told_its_package_and_the_price_it_missed():
    """Money brings 125 per 1 000 elsewhere at least; lake's reader brings 100, moor's 50."""
    asked = posts(1000)

    found = missed(asked, answered(asked), price=(125.0, 150.0))

    assert [(e.site, e.cost, e.worth_per_year, e.per_1000) for e in found] == [
        ("lake", 1000, 100, 100), ("moor", 1000, 50, 50),
    ]  # fmt: skip
    lake = found[0]
    assert (lake.taken_below_least, lake.taken_below_most) == pytest.approx((1000 / 1.5, 800))
    assert lake.text == (
        "lake: buy reader for 1,000 USD would bring 100.0 per 1 000; elsewhere money brings "
        "125.0 to 150.0. It would have been taken at 667 USD, perhaps at 800."
    )


def test_the_package_that_is_missed_shares_what_several_tests_need():
    """Training (100) for two tests: 100 + 60 worth for 100, not one test at a time."""
    asked = case(
        tests=[lab_test("malaria"), lab_test("worms")],
        skills=[skill("microscopy", training_cost=100)],
        methods=[
            method("smear", "malaria", skills=["microscopy"]),
            method("mount", "worms", skills=["microscopy"]),
        ],
        sites=[site("hill", demand={"malaria": 100, "worms": 60})],
    )

    (found,) = missed(asked, answered(asked), price=(2000.0, 2000.0))

    assert (found.cost, found.worth_per_year, found.per_1000) == (100, 160, 1600)


@pytest.mark.parametrize(
    ("price", "said"),
    [
        ((50.0, 60.0), "money was not what stood in the way"),
        ((90.0, 110.0), "too close to tell apart"),
        ((101.0, 110.0), "It would have been taken at"),
    ],
)
def test_what_stood_in_the_way_is_only_said_where_it_is_known(price, said):
    asked = posts(1000)

    assert said in missed(asked, answered(asked), price=price)[0].text


def test_tests_that_a_hub_does_for_a_site_are_no_gain_of_a_package_there():
    travels = [lab_test("sugar", max_transport_hours=4)]
    asked = posts(1000, tests=travels, links=[link("lake", "hill", hours=1)])

    found = missed(asked, answered(asked), price=(125.0, 150.0))

    assert [each.site for each in found] == ["moor"]
