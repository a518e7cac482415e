"""A device of which something was measured counts as what it is, and nothing else does."""

from dataclasses import dataclass

import pytest

from apps.catalogue.models import DeviceModel, LabTest, Method
from apps.coverage.adapters import freeze, freeze_as_it_stands
from apps.coverage.adapters.verified import own_code
from apps.coverage.services import refresh_coverage
from apps.inventory.models import EquipmentItem
from apps.inventory.services import end_verifications, withdraw_verification
from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify as violations
from planner.engine.case import Limits
from tests.apps.coverage.district import District
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_limit,
    make_method,
    make_need,
    make_test,
)
from tests.factories.inventory import make_demand, make_item
from tests.factories.verifying import a_year_ago, pairs, steady_run, verify

# At 9 cm 11 000 rpm are 12 177 g, 9 900 rpm (the least within 10 %) 9 864 g.
FAST, SLOW = 11_000, 9_900


@dataclass(frozen=True)
class Bench:
    """Hand spinners of grade D at *mill* and *ford*; packed cell volume needs 10 000 g."""

    small: District
    hand: DeviceModel
    pcv: LabTest
    method: Method
    at_mill: EquipmentItem
    at_ford: EquipmentItem

    def states(self, test: str = "pcv") -> dict[str, str]:
        found = refresh_coverage(area=self.small.north, by=None).findings.filter(test__code=test)
        return {each.facility.code: each.state for each in found}

    def models(self) -> dict[str, dict]:
        models = freeze_as_it_stands(self.small.north).case.to_json()["device_models"]
        return {model["code"]: model for model in models}

    def stock(self) -> list[tuple[str, str, int, int]]:
        entries = freeze_as_it_stands(self.small.north).case.stock
        kept = [each for each in entries if each.site != "hill"]
        return [(each.site, each.model, each.working, each.broken) for each in kept]


@pytest.fixture
def bench(small) -> Bench:
    spinning = make_device_class("hand-centrifuge", rcf_max_g="number", tube_count="number")
    hand = make_device_model(
        "hand-spinner", spinning, specs={"rcf_max_g": 12_000, "tube_count": 4},
        evidence="D", price=10, repair_cost=5, annual_cost=2, hours_per_year=1000,
    )  # fmt: skip
    pcv = make_test("pcv")
    method = make_method("pcv-by-hand", pcv, staff_hours=0.1)
    make_need(method, spinning, hours=0.1, rcf_max_g=("min", 10_000))
    make_limit(
        "speed", device_class=spinning, rule="inspection", measure="speed_error_pct", low=-10,
        high=10, ucum="%", valid_months=12,
    )  # fmt: skip
    make_limit("bias", method=method, rule="acceptance", minimum_samples=40, valid_months=12)
    for site in (small.mill, small.ford):
        make_demand(site, pcv, 300)
    at_mill, at_ford = make_item(small.mill, hand), make_item(small.ford, hand)
    return Bench(small, hand, pcv, method, at_mill, at_ford)


def accept(item: EquipmentItem, *, n: int = 40, off: float = 0, **values):
    """Compare ``n`` specimens with a reference, from which the device is ``off``."""
    given = {"kind": "paired", "rule": "acceptance", "reference": "electric centrifuge"}
    return verify(item, pairs(n, off=off), **{**given, **values})


def test_a_pass_raises_one_item_and_no_other_of_its_model(bench):
    assert bench.states() == {"ford": "blocked", "hill": "not_expected", "mill": "blocked"}

    accept(bench.at_mill)

    assert bench.states() == {"ford": "blocked", "hill": "not_expected", "mill": "runs"}


def test_the_item_stands_in_the_case_as_a_model_of_its_own_that_nobody_can_buy(bench):
    before = bench.models()

    verify(bench.at_mill, steady_run(FAST))
    accept(bench.at_mill)

    after = bench.models()
    own = after.pop("hand-spinner--mill-2")
    assert after == before
    assert own == {
        **before["hand-spinner"],
        "code": "hand-spinner--mill-2",
        "name": "Hand-Spinner, item mill-2, as measured",
        "evidence": "B",
        "serves": [{"class": "hand-centrifuge", "specs": {"rcf_max_g": 12177.7, "tube_count": 4}}],
        "price": 0,
        "max_units": 0,
    }
    assert bench.stock() == [
        ("ford", "hand-spinner", 1, 0), ("mill", "hand-spinner--mill-2", 1, 0),
    ]  # fmt: skip


def test_a_pass_counts_to_the_end_of_its_last_day_and_no_longer(bench):
    accept(bench.at_mill, done_on=a_year_ago())
    accept(bench.at_ford, done_on=a_year_ago(days_more=1))

    assert bench.states() == {"ford": "blocked", "hill": "not_expected", "mill": "runs"}


def test_what_was_measured_counts_for_less_than_was_claimed_too(bench):
    bench.hand.evidence = "A"
    bench.hand.save()
    assert bench.states()["mill"] == "runs"

    made = verify(bench.at_mill, steady_run(SLOW))

    assert made.outcome == "pass"
    assert bench.states() == {"ford": "runs", "hill": "not_expected", "mill": "blocked"}
    found = bench.small.north.assessments.latest("pk").findings
    [method] = found.get(facility=bench.small.mill, test=bench.pcv).detail["methods"]
    assert method["missing"][0]["reason"] == (
        "Hand-Spinner, item mill-2, as measured: rcf_max_g: needs at least "
        "10\N{NARROW NO-BREAK SPACE}000\N{NARROW NO-BREAK SPACE}g, "
        "reaches 9\N{NARROW NO-BREAK SPACE}863.9\N{NARROW NO-BREAK SPACE}g"
    )


def test_a_failure_lasts_until_the_device_is_put_right_or_measured_again(bench):
    bench.hand.evidence = "A"
    bench.hand.save()
    failed = verify(bench.at_mill, steady_run(8000), done_on=a_year_ago(days_more=300))
    assert failed.outcome == "fail"
    assert bench.states()["mill"] == "blocked"

    verify(bench.at_mill, steady_run(FAST))

    assert bench.states()["mill"] == "runs"


@pytest.mark.parametrize("how", ["withdrawn", "repaired"])
def test_a_verification_that_is_withdrawn_or_ended_says_nothing(bench, how):
    before = freeze_as_it_stands(bench.small.north).case
    made = accept(bench.at_mill)

    if how == "withdrawn":
        withdraw_verification(verification=made, why="Wrong device", by=None)
    else:
        end_verifications(item=bench.at_mill, ending=how, on=made.done_on, by=None)

    assert freeze_as_it_stands(bench.small.north).case == before


def test_too_few_readings_change_nothing(bench):
    before = freeze_as_it_stands(bench.small.north).case

    assert accept(bench.at_mill, n=39).outcome == "not_enough"
    assert freeze_as_it_stands(bench.small.north).case == before


def test_a_measured_value_answers_what_nobody_had_stated(bench):
    bench.hand.specifications.filter(attribute__code="rcf_max_g").delete()
    bench.hand.evidence = "B"
    bench.hand.save()
    assert bench.states()["mill"] == "unknown"

    verify(bench.at_mill, steady_run(FAST))

    assert bench.states() == {"ford": "unknown", "hill": "not_expected", "mill": "runs"}


def test_a_broken_item_has_no_verification_left(bench):
    accept(bench.at_mill)
    bench.at_mill.condition = "repairable"
    bench.at_mill.save()

    assert bench.stock() == [("ford", "hand-spinner", 1, 0), ("mill", "hand-spinner", 0, 1)]


def test_a_bias_that_no_specification_stands_for_takes_the_item_out_until_repaired(bench):
    bench.hand.evidence = "A"
    bench.hand.save()

    made = accept(bench.at_mill, off=3)

    assert made.outcome == "fail"
    assert bench.stock() == [("ford", "hand-spinner", 1, 0), ("mill", "hand-spinner", 0, 1)]
    assert bench.states()["mill"] == "blocked"


def test_a_pass_for_one_method_lends_nothing_to_others_that_rest_on_claims(bench):
    spinning = bench.hand.served_classes.get().device_class
    other = make_test("sediment")
    make_need(make_method("many-tubes", other), spinning, tube_count=("min", 4))
    make_demand(bench.small.mill, other, 10)

    accept(bench.at_mill)

    own = bench.models()["hand-spinner--mill-2"]
    assert own["serves"] == [{"class": "hand-centrifuge", "specs": {"rcf_max_g": 12_000}}]
    assert bench.states()["mill"] == "runs"
    assert bench.states("sediment")["mill"] == "unknown"


def test_a_claim_that_stands_in_the_way_of_another_method_stays(bench):
    spinning = bench.hand.served_classes.get().device_class
    other = make_test("sediment")
    make_need(make_method("many-tubes", other), spinning, tube_count=("min", 5))
    make_demand(bench.small.mill, other, 10)

    accept(bench.at_mill)

    assert bench.states("sediment")["mill"] == "blocked"


def test_a_rule_is_kept_only_when_all_its_limits_are(bench):
    make_limit(
        "timer", method=bench.method, rule="acceptance", measure="timer_error_pct", low=-10,
        high=10, ucum="%",
    )  # fmt: skip

    accept(bench.at_mill)
    assert bench.states()["mill"] == "blocked"

    verify(bench.at_mill, "300 305", kind="timer", rule="acceptance", reference="stopwatch")
    assert bench.states()["mill"] == "runs"


def test_a_device_that_keeps_its_speed_has_not_shown_that_its_results_are_right(bench):
    assert verify(bench.at_mill, steady_run(FAST)).outcome == "pass"

    assert bench.states()["mill"] == "blocked"
    assert bench.models()["hand-spinner--mill-2"]["evidence"] == "D"


def test_one_failure_in_force_takes_away_what_another_pass_gave(bench):
    accept(bench.at_mill)
    assert bench.states()["mill"] == "runs"

    verify(bench.at_mill, steady_run(9800))

    assert bench.states()["mill"] == "blocked"


def test_a_device_accepted_for_its_class_keeps_every_specification(bench):
    spinning = bench.hand.served_classes.get().device_class
    make_limit("class-bias", device_class=spinning, rule="results", minimum_samples=40)

    accept(bench.at_mill, rule="results")

    own = bench.models()["hand-spinner--mill-2"]
    assert (own["evidence"], own["serves"]) == (
        "B",
        [{"class": "hand-centrifuge", "specs": {"rcf_max_g": 12_000, "tube_count": 4}}],
    )


def test_a_failed_analyte_is_taken_from_the_list_and_the_rest_stays(bench):
    analyser = make_device_class("analyser", analytes="list")
    model = make_device_model("analyser", analyser, specs={"analytes": ["glucose", "urea"]})
    for code in ("glucose", "urea"):
        test = make_test(code)
        make_need(make_method(code, test), analyser, analytes=("has", [code]))
        make_limit(
            code, test=test, rule="pt", measure="total_error_pct", low=-10, high=10, ucum="%",
            analyte=code, minimum_samples=20,
        )  # fmt: skip
        make_demand(bench.small.mill, test, 10)
    item = make_item(bench.small.mill, model)

    made = verify(item, pairs(20, off=8), kind="paired", rule="pt", subject="urea")

    assert made.outcome == "fail"
    assert bench.states("glucose")["mill"] == "runs"
    assert bench.states("urea")["mill"] == "blocked"


def test_a_plan_never_buys_the_model_of_an_item_and_is_found_right(bench):
    accept(bench.at_mill)
    bench.small.mill.demands.exclude(test=bench.pcv).delete()
    limits = Limits(capital=5000.0, earmarks={}, recurrent=None, trainer_days=None, max_units=3)
    case = freeze(
        bench.small.north, limits=limits, minimum_evidence="B", floors={}, title="Next year"
    ).case

    result = plan(case, gap=0.0)

    assert result.status == "optimal"
    assert any(volume.at == "mill" and volume.method == "pcv-by-hand" for volume in result.volumes)
    assert [action for action in result.actions if "--" in action.item] == []
    assert violations(case, result) == []


def test_freezing_again_gives_the_same_case(bench):
    verify(bench.at_mill, steady_run(FAST))
    verify(bench.at_ford, steady_run(8000))

    first, second = (freeze_as_it_stands(bench.small.north).case.sha256() for _ in range(2))

    assert first == second


@pytest.mark.parametrize("more", [0, 5])
def test_verified_items_cost_one_query_however_many_there_are(
    bench, django_assert_num_queries, more
):
    for _ in range(more):
        verify(make_item(bench.small.mill, bench.hand), steady_run(FAST))

    with django_assert_num_queries(26):
        freeze_as_it_stands(bench.small.north)


@pytest.mark.parametrize(
    ("model", "item", "code"),
    [
        ("spinner", "sw-1", "spinner--sw-1"),
        ("m" * 80, "i" * 18, f"{'m' * 80}--{'i' * 18}"),
        ("m" * 80, "i" * 19, f"{'m' * 79}--{'i' * 19}"),
        ("m" * 80, "i" * 60, f"{'m' * 38}--{'i' * 60}"),
    ],
)
def test_a_code_is_as_long_as_a_case_allows_and_no_longer(model, item, code):
    assert own_code(model, item) == code
    assert len(code) <= 100
