"""Simple ways of spending the same money: what each takes, and that none beats the plan."""

import pytest

from planner.engine.allocation import plan, today
from planner.engine.allocation.baselines import Baseline, baselines, plain_question
from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.factories.cases import (
    bundle,
    case,
    device_model,
    fixed,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    skill,
)

WAYS = ["equal_shares", "largest_first", "greedy"]


def found(country: Case, **given) -> dict[str, Baseline]:
    before = today(country).objective
    return {each.way: each for each in baselines(country, before=before, **given)}


def bought(baseline: Baseline) -> list[tuple[str, str, str]]:
    return [(a.site, str(a.kind), a.item) for a in baseline.result.actions]


def two_sites(**asked) -> Case:
    """A reader (300) makes 100 tests possible at hill, 400 at the smaller ford; 300 to spend."""
    given = {"limits": limits(capital=300), **asked}
    return case(
        tests=[lab_test("dip")],
        methods=[method("reading", "dip", need("reader"))],
        device_models=[device_model("reader", serves("reader"), price=300)],
        sites=[
            site("ford", population=1_000, demand={"dip": 400}),
            site("hill", population=9_000, demand={"dip": 100}),
        ],
        **given,
    )


def test_the_largest_site_comes_first_or_the_greatest_benefit_for_its_cost():
    ways = found(two_sites())

    assert list(ways) == WAYS
    assert bought(ways["largest_first"]) == [("hill", "buy", "reader")]
    assert bought(ways["greedy"]) == [("ford", "buy", "reader")]
    assert [ways[way].result.objective for way in WAYS] == [0, 100, 400]


@pytest.mark.parametrize(("capital", "sites"), [(599.99, []), (600, ["ford", "hill"])])
def test_an_equal_share_that_is_a_cent_short_of_a_reader_buys_none(capital, sites):
    ways = found(two_sites(limits=limits(capital=capital)))

    assert [at for at, _, _ in bought(ways["equal_shares"])] == sites


def test_what_belongs_to_a_model_is_bought_with_it_or_the_model_is_not():
    country = two_sites(
        skills=[skill("reading", training_cost=50)],
        bundles=[bundle("reader", skills=["reading"])],
        limits=limits(capital=350),
    )

    assert bought(found(country)["greedy"]) == [
        ("ford", "buy", "reader"),
        ("ford", "train", "reading"),
    ]
    short = country.model_copy(update={"limits": limits(capital=349.99)})
    assert bought(found(short)["greedy"]) == []


def test_what_is_fixed_is_done_and_what_is_forbidden_is_not():
    must = two_sites(fixed=[fixed("hill", "buy", "reader", at_least=1)])
    must_not = two_sites(fixed=[fixed("ford", "buy", "reader", at_most=0)])

    assert [bought(each) for each in found(must).values()] == [[("hill", "buy", "reader")]] * 3
    assert bought(found(must_not)["greedy"]) == [("hill", "buy", "reader")]


def test_of_a_class_no_more_models_are_bought_than_may_be():
    country = case(
        tests=[lab_test("dip"), lab_test("count")],
        methods=[
            method("reading", "dip", need("reader", kind={"is": "a"})),
            method("counting", "count", need("reader", kind={"is": "b"})),
        ],
        device_models=[
            device_model("one", serves("reader", kind="a"), price=10),
            device_model("two", serves("reader", kind="b"), price=10),
        ],
        sites=[site(demand={"dip": 50, "count": 20})],
        limits=limits(capital=100, models_per_class={"reader": 1}),
    )

    assert bought(found(country)["greedy"]) == [("hill", "buy", "one")]


def test_running_money_and_trainer_days_are_kept():
    country = case(
        skills=[skill("reading", trainer_days=2)],
        tests=[lab_test("dip")],
        methods=[method("m", "dip", skills=["reading"], consumable_cost=1)],
        sites=[site(code, demand={"dip": 100}) for code in ("ford", "hill")],
        limits=limits(capital=100, trainer_days=3, recurrent=60),
    )

    for each in found(country).values():
        assert len(each.result.actions) == 1
        assert each.result.objective == pytest.approx(60)


@pytest.mark.parametrize("number", range(6))
def test_every_way_keeps_all_limits_and_none_beats_what_is_proven_of_the_plan(number):
    country = generate_case(12, 12, number)

    answer = plan(plain_question(country), gap=1e-3)

    ways = found(country)
    assert list(ways) == WAYS
    for each in ways.values():
        assert verify(plain_question(country), each.result) == []
        assert each.result.objective <= answer.bound * (1 + 1e-6)


def test_without_time_there_is_nothing_to_compare_with():
    assert found(two_sites(), seconds=0) == {}
