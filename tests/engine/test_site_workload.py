"""Hours needed and there are at single sites, written out to be checked by hand."""

import pytest

from planner.engine.capacity import Band
from planner.engine.coverage import assess
from planner.engine.errors import EngineError
from planner.engine.workload import Batching, Binding, Run, SiteWorkload, workload
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    link,
    method,
    need,
    serves,
    site,
    stock,
)
from tests.factories.results import action, result, volume

SPINNER = device_model("spinner", serves("centrifuge", rcf_g=12_000), hours_per_year=100)
SLOW = device_model("slow", serves("centrifuge", rcf_g=2000), hours_per_year=40)
SPUN = method(
    "spun", "haematocrit", need("centrifuge", rcf_g={"min": 10_000}, hours=0.1), staff_hours=0.2
)
SERUM = method(
    "serum", "serology", need("centrifuge", rcf_g={"min": 1000}, hours=0.1), staff_hours=0.1
)
STRIP = method("strip", "glucose", staff_hours=0.05)
TESTS = [lab_test(each.test, max_transport_hours=24) for each in (SPUN, SERUM, STRIP)]


def hill(*stocked, staff_hours=1000, links=(), others=(), **demand) -> SiteWorkload:
    asked = case(
        tests=TESTS,
        methods=[SPUN, SERUM, STRIP],
        device_models=[SPINNER, SLOW],
        sites=[site("hill", staff_hours=staff_hours, demand=demand), *others],
        stock=stocked,
        links=links,
    )
    return workload(asked, assess(asked)).at("hill")


def test_staff_and_machine_hours_are_tests_times_hours_per_test():
    found = hill(stock("hill", "spinner", working=1), haematocrit=500, glucose=1000)

    assert (found.asked, found.own, found.doable) == (1500, 1500, 1500)
    assert (found.staff.needed_hours, found.staff.available_hours) == (150, 1000)
    [centrifuge] = found.machines
    assert (centrifuge.code, centrifuge.needed_hours, centrifuge.available_hours) == (
        "centrifuge",
        50,
        100,
    )
    assert (centrifuge.used_share, centrifuge.band, centrifuge.units) == (0.5, Band.TARGET, 1)


def test_what_runs_out_first_is_named_with_the_share_that_it_allows():
    found = hill(stock("hill", "spinner", working=1), haematocrit=500, staff_hours=1000)

    assert found.binding == Binding("machine", ("centrifuge",), 2.0, 0.0)
    assert found.binding.suffices


def test_staff_that_suffice_exactly_are_not_short_and_an_hour_less_is():
    enough = hill(staff_hours=50, glucose=1000)
    short = hill(staff_hours=49, glucose=1000)

    assert (enough.binding, enough.doable) == (Binding("staff", (), 1.0, 0.0), 1000)
    assert (short.binding, short.doable) == (
        Binding("staff", (), 0.98, 1.0),
        pytest.approx(980),
    )
    assert (enough.staff.band, short.staff.band) == (Band.QUEUEING, Band.OVER)


def test_a_machine_that_is_short_cuts_only_the_tests_that_need_it():
    found = hill(stock("hill", "spinner", working=1), haematocrit=2000, glucose=1000)

    assert found.binding == Binding("machine", ("centrifuge",), 0.5, 100.0)
    assert {test.method: test.doable for test in found.tests} == {"spun": 1000, "strip": 1000}


def test_staff_are_cut_once_more_for_what_the_machines_allow():
    """Machines allow 1000 of 2000: 200 h, and 50 h for glucose; 125 h are half of that."""
    found = hill(
        stock("hill", "spinner", working=1), staff_hours=125, haematocrit=2000, glucose=1000
    )

    assert {test.method: test.doable for test in found.tests} == {"spun": 500, "strip": 500}


def test_a_machine_hour_is_not_spent_twice_where_one_device_serves_two_needs():
    """Each class of need alone would fit into 100 h; together they ask for 120."""
    found = hill(stock("hill", "spinner", working=1), haematocrit=600, serology=600)

    assert found.binding == Binding("machine", ("centrifuge",), 100 / 120, pytest.approx(20))
    assert found.doable == pytest.approx(1000)


def test_the_finer_device_is_the_limit_where_the_coarser_could_help_out_but_may_not():
    """140 h in all suffice for 130, but only the spinner's 100 h may spin haematocrits."""
    found = hill(
        stock("hill", "spinner", working=1), stock("hill", "slow", working=1),
        haematocrit=1100, serology=200,
    )  # fmt: skip

    assert found.binding == Binding("machine", ("centrifuge",), 100 / 110, pytest.approx(10))
    assert {test.method: test.doable for test in found.tests} == {
        "spun": pytest.approx(1000),
        "serum": 200,
    }
    assert found.machines[0].available_hours == 140


def test_broken_units_give_no_hours_and_are_counted_as_what_repair_could_give():
    found = hill(stock("hill", "spinner", working=1, broken=2), haematocrit=1500)

    assert (found.machines[0].units, found.machines[0].broken_units) == (1, 2)
    assert found.doable == 1000


def test_tests_that_others_send_take_the_hours_of_the_site_that_does_them():
    ford = site("ford", demand={"haematocrit": 300, "glucose": 10}, staff_hours=5)
    found = hill(
        stock("hill", "spinner", working=1), others=[ford], links=[link("ford", "hill", hours=3)],
        haematocrit=500,
    )  # fmt: skip

    assert (found.asked, found.own, found.from_others) == (800, 500, 300)
    assert found.machines[0].needed_hours == pytest.approx(80)


def test_what_is_sent_away_and_what_nobody_does_take_no_hours():
    ford = site("ford", demand={}, staff_hours=50)
    found = hill(
        stock("ford", "spinner", working=1), others=[ford], links=[link("hill", "ford", hours=30)],
        haematocrit=500, glucose=10,
    )  # fmt: skip

    assert (found.asked, found.sent_away, found.undone) == (10, 0, 500)
    assert found.staff.needed_hours == pytest.approx(0.5)


def test_a_site_of_which_nothing_is_asked_has_nothing_that_binds():
    found = hill(stock("hill", "spinner", working=1))

    assert (found.asked, found.doable, found.binding, found.machines) == (0, 0, None, ())
    assert found.staff.band is Band.IDLE


def test_work_without_any_hours_cannot_be_done():
    found = hill(staff_hours=0, glucose=100)

    assert (found.doable, found.binding) == (0, Binding("staff", (), 0.0, 5.0))


def test_batches_that_a_small_volume_does_not_fill_cost_the_whole_batch():
    """500 on 250 days are 2 a day in a batch of 20: 250 batches of 30 min, and 4 min each."""
    asked = case(
        tests=TESTS, methods=[SPUN], device_models=[SPINNER],
        sites=[site("hill", staff_hours=1000, demand={"haematocrit": 500})],
        stock=[stock("hill", "spinner", working=1)],
    )  # fmt: skip
    batching = {"spun": Batching(20, 30, 4, (Run(6, 24),))}

    found = workload(asked, assess(asked), batching=batching, days_per_year=250).at("hill")

    assert found.staff.needed_hours == pytest.approx((250 * 30 + 500 * 4) / 60)
    assert found.machines[0].needed_hours == pytest.approx(250 * 6 / 60)


def test_a_plan_is_held_against_what_it_buys_and_repairs():
    asked = case(
        tests=TESTS, methods=[SPUN], device_models=[SPINNER],
        sites=[site("hill", staff_hours=1000, demand={"haematocrit": 3000})],
        stock=[stock("hill", "spinner", broken=1)],
    )  # fmt: skip
    planned = result(
        asked,
        actions=(action("hill", "buy", "spinner"), action("hill", "repair", "spinner")),
        volumes=(volume("hill", "hill", "spun", 1900.0),),
    )

    found = workload(asked, planned).at("hill")

    assert (found.asked, found.undone) == (1900, 1100)
    assert (found.machines[0].available_hours, found.machines[0].broken_units) == (200, 0)
    assert found.binding == Binding("machine", ("centrifuge",), pytest.approx(200 / 190), 0.0)


def test_time_out_of_order_gives_no_hours_and_a_repair_counts_as_far_as_it_can_be_expected():
    unsure = device_model(
        "spinner", serves("centrifuge", rcf_g=12_000), hours_per_year=100, uptime=0.9,
        repair_success=0.5,
    )  # fmt: skip
    asked = case(
        tests=TESTS, methods=[SPUN], device_models=[unsure],
        sites=[site("hill", staff_hours=1000, demand={"haematocrit": 900})],
        stock=[stock("hill", "spinner", working=1, broken=2)],
    )  # fmt: skip
    planned = result(
        asked,
        actions=(action("hill", "repair", "spinner", quantity=2),),
        volumes=(volume("hill", "hill", "spun", 900.0),),
    )

    today = workload(asked, assess(asked)).at("hill").machines[0]
    after = workload(asked, planned).at("hill").machines[0]

    assert (today.available_hours, today.used_share) == (90, 1.0)
    assert (after.available_hours, after.units, after.broken_units) == (180, 2, 0)


def test_a_unit_that_is_moved_gives_its_hours_where_it_goes_and_no_more_where_it_was():
    asked = case(
        tests=TESTS, methods=[SPUN], device_models=[SPINNER],
        sites=[
            site("hill", staff_hours=1000, demand={"haematocrit": 500}),
            site("ford", staff_hours=1000, demand={"haematocrit": 500}),
        ],
        stock=[stock("hill", "spinner", working=2)],
    )  # fmt: skip
    moved = {**action("ford", "move", "spinner"), "moved_from": "hill"}
    planned = result(
        asked,
        actions=(moved,),
        volumes=(volume("hill", "hill", "spun", 500.0), volume("ford", "ford", "spun", 500.0)),
    )

    found = workload(asked, planned)

    hours = [found.at(code).machines[0].available_hours for code in ("hill", "ford")]
    assert hours == [100, 100]


def test_a_site_that_the_case_does_not_have_is_refused():
    asked = case()

    with pytest.raises(EngineError) as refused:
        workload(asked, assess(asked)).at("nowhere")

    assert str(refused.value) == (
        "The case has no site with code 'nowhere'. Use the code of one of its sites."
    )
