"""A plan is a question: what is kept of it, and what is no question at all."""

from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from apps.audit.models import Entry
from apps.plans.models import Plan
from apps.plans.services import draft_plan
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district, make_facility

QUESTION = {
    "title": "Next year",
    "capital": Decimal("3000.5"),
    "earmarks": {"maternal": Decimal(900)},
    "recurrent": None,
    "trainer_days": 5.0,
    "max_units": 1,
    "minimum_evidence": "B",
    "floors": {"upper": 0.25},
    "gap": 0.001,
    "time_limit_s": 30,
}


@pytest.fixture
def draft(small, planner):
    def drafted(**changed):
        return draft_plan(**{**QUESTION, "area": small.north, "by": planner, **changed})

    return drafted


def test_a_question_is_kept_as_it_was_asked(draft, small, planner):
    draft()

    plan = Plan.objects.get()
    kept = {name: getattr(plan, name) for name in QUESTION if name not in ("earmarks", "floors")}
    assert kept == {name: QUESTION[name] for name in kept}
    assert (plan.area, plan.made_by) == (small.north, planner)
    assert [(each.programme.code, each.amount) for each in plan.earmarks.all()] == [
        ("maternal", 900)
    ]
    assert [(each.area.code, each.share) for each in plan.floors.all()] == [("upper", 0.25)]


def test_a_draft_is_recorded_with_the_whole_question(draft, planner):
    plan = draft()

    [entry] = Entry.objects.all()
    assert (entry.by, entry.action, entry.object_key) == (planner, "plan.drafted", str(plan.pk))
    assert entry.after == {
        **QUESTION,
        "area": "north",
        "capital": "3000.5",
        "earmarks": {"maternal": "900"},
    }


@pytest.mark.parametrize(
    ("changed", "field", "message"),
    [
        ({"title": ""}, "title", "This field cannot be blank."),
        ({"capital": Decimal("-0.01")}, "capital", "greater than or equal to 0."),
        ({"recurrent": Decimal("-0.01")}, "recurrent", "greater than or equal to 0."),
        ({"trainer_days": -0.5}, "trainer_days", "greater than or equal to 0."),
        ({"gap": 1.01}, "gap", "less than or equal to 1."),
        ({"minimum_evidence": "E"}, "minimum_evidence", "'E' is not a valid choice."),
        ({"earmarks": {"maternal": Decimal(-1)}}, "earmarks", "greater than or equal to 0."),
        ({"floors": {"upper": 1.01}}, "floors", "less than or equal to 1."),
        ({"earmarks": {"wood": Decimal(1), "maternal": Decimal(1)}}, "earmarks",
         "There is no wood to choose here. There are: general, maternal."),
        ({"floors": {"rim": 0.5}}, "floors", "There is no rim to choose here. There are: upper."),
        ({"floors": {"north": 0.5}}, "floors",
         "There is no north to choose here. There are: upper."),
    ],
)  # fmt: skip
def test_a_limit_that_makes_no_sense_is_refused_by_its_field_and_nothing_is_kept(
    draft, changed, field, message
):
    with pytest.raises(ValidationError) as refusal:
        draft(**changed)

    assert list(refusal.value.message_dict) == [field]
    assert refusal.value.message_dict[field][0].endswith(message)
    assert not Plan.objects.exists()
    assert not Entry.objects.exists()


def test_zero_money_and_a_whole_share_are_limits_like_others(draft):
    draft(capital=Decimal(0), gap=0, floors={"upper": 1.0}, earmarks={"maternal": Decimal(0)})

    assert Plan.objects.count() == 1


def test_a_floor_of_the_district_is_for_facilities_that_hang_on_it_directly(draft, small):
    make_facility("town", small.north)

    plan = draft(floors={"north": 0.5})

    assert [each.area for each in plan.floors.all()] == [small.north]


def test_a_plan_is_for_a_district(draft, small):
    with pytest.raises(ValidationError) as refusal:
        draft(area=small.upper)

    assert refusal.value.message_dict == {
        "area": ["Upper block is not a district. Plan for its district."]
    }


def test_areas_of_another_district_are_not_to_choose(draft):
    make_facility("coast", make_district("south"))

    with pytest.raises(ValidationError):
        draft(floors={"south": 0.5})


@pytest.mark.parametrize("role", ["in_charge", "auditor"])
def test_somebody_who_may_not_plan_drafts_nothing(draft, role):
    with pytest.raises(PermissionDenied):
        draft(by=make_person(role=role))

    assert not Plan.objects.exists()
