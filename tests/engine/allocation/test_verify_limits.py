"""The judge at the limits of a plan: what is met exactly is kept, one step tighter is broken."""

from typing import Any

import pytest

from planner.engine.allocation.verify import TOLERANCE, Violation, verify
from planner.engine.case import Case, Result
from tests.factories import cases
from tests.factories.results import action, result, volume


def rules(violations: list[Violation]) -> list[str]:
    return [violation.rule for violation in violations]


# One site where each limit is met exactly: 400 of 500 tests asked for, by one unit bought.
# Staff and machine 400 × 0.2 = 80 h; capital 100 + 30; running cost 10 + 5 + 400 × 0.1.
EXACT = {
    "capital": 130.0,
    "recurrent": 55.0,
    "trainer_days": 3.0,
    "staff_hours": 80.0,
    "hours_per_year": 80.0,
    "demand": 500.0,
    "floor": 0.8,
}


def spinning(**changed: float) -> Case:
    values = {**EXACT, **changed}
    need = cases.need("centrifuge", hours=0.2)
    return cases.case(
        areas=[cases.area(floor=values["floor"])],
        skills=[cases.skill("spin", training_cost=30, trainer_days=3, supervision_cost=5)],
        device_models=[
            cases.device_model(
                "spinner",
                cases.serves("centrifuge"),
                price=100,
                annual_cost=10,
                hours_per_year=values["hours_per_year"],
            )
        ],
        tests=[cases.lab_test("pcv", weight=2)],
        methods=[
            cases.method(
                "spun",
                "pcv",
                need,
                sensitivity=0.5,
                staff_hours=0.2,
                consumable_cost=0.1,
                skills=["spin"],
            )
        ],
        sites=[cases.site(staff_hours=values["staff_hours"], demand={"pcv": values["demand"]})],
        limits=cases.limits(
            capital=values["capital"],
            recurrent=values["recurrent"],
            trainer_days=values["trainer_days"],
        ),
    )


def spun(case: Case, **given: Any) -> Result:
    values = {
        "objective": 400.0,
        "money": {"capital": 130.0, "recurrent": 55.0, "earmarks": {}},
        "actions": (
            action("hill", "buy", "spinner", cost=100.0),
            action("hill", "train", "spin", cost=30.0),
        ),
        "volumes": (volume("hill", "hill", "spun", 400.0),),
    }
    return result(case, **{**values, **given})


def test_limits_that_are_met_exactly_are_kept():
    case = spinning()

    assert verify(case, spun(case)) == []


@pytest.mark.parametrize(
    ("limit", "value", "expected"),
    [
        ("capital", 129.9, ["capital", "payment"]),
        ("recurrent", 54.9, ["recurrent"]),
        ("trainer_days", 2.9, ["trainer-days"]),
        ("staff_hours", 79.9, ["staff-hours"]),
        ("hours_per_year", 79.9, ["machine-hours"]),
        ("floor", 0.801, ["floor"]),
        ("demand", 399.9, ["demand"]),
    ],
)
def test_a_limit_one_step_tighter_is_broken(limit, value, expected):
    case = spinning(**{limit: value})

    assert rules(verify(case, spun(case))) == expected


@pytest.mark.parametrize(("share_over", "expected"), [(0.9, []), (1.1, ["staff-hours"])])
def test_an_excess_is_forgiven_up_to_the_stated_tolerance(share_over, expected):
    case = spinning(staff_hours=80 / (1 + share_over * TOLERANCE))

    assert rules(verify(case, spun(case))) == expected


@pytest.mark.parametrize(("stated", "expected"), [(1e6 + 0.9, []), (1e6 + 1.1, ["payment"])])
def test_large_amounts_may_be_off_by_a_millionth_of_themselves(stated, expected):
    model = cases.device_model("spinner", cases.serves("centrifuge"), price=1e6)
    case = cases.case(device_models=[model], limits=cases.limits(capital=2e6))
    money = {"capital": stated, "recurrent": 0.0, "earmarks": {}}
    bought = (action("hill", "buy", "spinner", cost=1e6),)

    assert rules(verify(case, result(case, money=money, actions=bought))) == expected


def test_without_limits_on_running_cost_and_trainer_days_none_is_broken():
    case = spinning(recurrent=None, trainer_days=None)

    assert verify(case, spun(case)) == []


def shared_unit(hours_per_year: float) -> Case:
    """A unit that is both microscope and centrifuge, each for 100 of two tests, 0.5 h apiece."""
    return cases.case(
        device_models=[
            cases.device_model(
                "both",
                cases.serves("microscope"),
                cases.serves("centrifuge"),
                hours_per_year=hours_per_year,
            )
        ],
        tests=[cases.lab_test("malaria"), cases.lab_test("pcv")],
        methods=[
            cases.method("smear", "malaria", cases.need("microscope", hours=0.5)),
            cases.method("spun", "pcv", cases.need("centrifuge", hours=0.5)),
        ],
        sites=[cases.site(demand={"malaria": 100, "pcv": 100})],
        stock=[cases.stock("hill", "both", working=1)],
    )


@pytest.mark.parametrize(("hours_per_year", "expected"), [(100.0, []), (99.0, ["machine-hours"])])
def test_an_hour_of_a_unit_that_serves_two_classes_is_used_once(hours_per_year, expected):
    case = shared_unit(hours_per_year)
    volumes = (volume("hill", "hill", "smear", 100.0), volume("hill", "hill", "spun", 100.0))

    answer = result(case, objective=200.0, volumes=volumes, objective_before=2 * hours_per_year)

    assert rules(verify(case, answer)) == expected


def test_hours_are_moved_between_units_where_that_makes_room():
    fine = cases.need("microscope", hours=1, magnification={"min": 1000})
    case = cases.case(
        device_models=[
            cases.device_model(
                "a", cases.serves("microscope", magnification=1000), hours_per_year=60
            ),
            cases.device_model(
                "b", cases.serves("microscope", magnification=400), hours_per_year=40
            ),
        ],
        tests=[cases.lab_test("malaria"), cases.lab_test("stool")],
        methods=[
            cases.method("coarse", "stool", cases.need("microscope", hours=1)),
            cases.method("fine", "malaria", fine),
        ],
        sites=[cases.site(demand={"malaria": 100, "stool": 100})],
        stock=[cases.stock("hill", "a", working=1), cases.stock("hill", "b", working=1)],
    )

    def rules_for(*, stool: float, malaria: float) -> list[str]:
        volumes = (
            volume("hill", "hill", "coarse", stool),
            volume("hill", "hill", "fine", malaria),
        )
        value = stool + malaria
        return rules(
            verify(case, result(case, objective=value, volumes=volumes, objective_before=100.0))
        )

    assert rules_for(stool=40, malaria=60) == []
    assert rules_for(stool=90, malaria=10) == []
    assert rules_for(stool=39, malaria=61) == ["machine-hours"]


@pytest.mark.parametrize(("tags", "expected"), [(["general"], []), ([], ["capital", "payment"])])
def test_an_earmark_pays_only_for_models_tagged_with_it(tags, expected):
    model = cases.device_model("spinner", cases.serves("centrifuge"), price=100, programmes=tags)
    case = cases.case(
        device_models=[model], limits=cases.limits(capital=30, earmarks={"general": 70})
    )
    money = {"capital": 30.0, "recurrent": 0.0, "earmarks": {"general": 70.0}}
    bought = (action("hill", "buy", "spinner", cost=100.0),)

    assert rules(verify(case, result(case, money=money, actions=bought))) == expected


def test_infrastructure_is_not_provided_at_a_level_without_a_cost():
    case = cases.case(
        infrastructure=[cases.infrastructure("power", cost={"2": 50})],
        sites=[cases.site(level=1)],
        limits=cases.limits(capital=50),
    )
    provided = (action("hill", "provide", "power", cost=0.0),)

    assert verify(case, result(case, actions=provided)) == [
        Violation("not-providable", "provide power at hill: it has no cost at level 1.")
    ]


def test_units_below_the_evidence_grade_enable_nothing():
    case = shared_unit(100)
    graded_d = case.model_copy(
        update={
            "minimum_evidence": "B",
            "device_models": (case.device_models[0].model_copy(update={"evidence": "C"}),),
        }
    )
    volumes = (volume("hill", "hill", "smear", 100.0),)

    answer = result(graded_d, objective=100.0, volumes=volumes)

    assert rules(verify(graded_d, answer)) == ["device"]


# Today the unit of ``shared_unit`` can do both tests for everybody: 200.
@pytest.mark.parametrize(("before", "expected"), [(200.0, []), (199.0, ["objective-before"])])
def test_today_s_value_is_proved_where_hours_suffice(before, expected):
    case = shared_unit(100)
    volumes = (volume("hill", "hill", "smear", 100.0), volume("hill", "hill", "spun", 100.0))

    answer = result(case, objective=200.0, volumes=volumes, objective_before=before)

    assert rules(verify(case, answer)) == expected


# With 50 h for 0.5 h apiece, 100 of the 200 tests can be done.
@pytest.mark.parametrize(
    ("before", "expected"),
    [
        (99.9, ["objective-before"]),
        (100.0, []),
        (100.1, ["objective-before", "bound"]),
    ],
)
def test_today_s_value_is_proved_where_hours_bind(before, expected):
    case = shared_unit(50)
    volumes = (volume("hill", "hill", "smear", 100.0),)

    answer = result(case, objective=100.0, volumes=volumes, objective_before=before)

    assert rules(verify(case, answer)) == expected


@pytest.mark.parametrize(("hours", "expected"), [(24, []), (24.1, ["route"])])
def test_a_specimen_may_be_under_way_for_as_long_as_it_keeps(hours, expected):
    case = cases.case(
        tests=[cases.lab_test("tb-smear", max_transport_hours=24)],
        methods=[cases.method("afb", "tb-smear", skills=["optics"])],
        skills=[cases.skill("optics")],
        sites=[cases.site("hub", skills=["optics"]), cases.site(demand={"tb-smear": 5})],
        links=[cases.link("hill", "hub", hours=hours)],
    )
    sent = (volume("hill", "hub", "afb", 5.0),)
    before = 5.0 if hours <= 24 else 0.0

    answer = result(case, objective=5.0, volumes=sent, objective_before=before)

    assert rules(verify(case, answer)) == expected
