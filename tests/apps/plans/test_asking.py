"""What a plan asks beyond the most tests: what is kept of it, what is refused, what is frozen."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from apps.audit.models import Entry
from apps.inventory.models import EquipmentItem
from apps.plans.adapters import case_of
from apps.plans.models import Plan
from apps.plans.services import draft_plan
from planner.engine.asking import Fixed, LeastMoney, MinimumSet, Move, Target
from planner.engine.errors import EngineError
from tests.apps.plans.optimising import computed
from tests.factories.facilities import make_district, make_facility
from tests.factories.inventory import make_item
from tests.factories.plans import make_plan, make_run

ALL_OF_IT = {
    "aim": {
        "kind": "least_money",
        "targets": [{"area": "upper", "programme": None, "share": 0.5}],
    },
    "minimum_sets": [
        {"code": "basic", "name": "Basic", "levels": [1, 2], "tests": ["haematocrit"], "share": 0.9}
    ],
    "fixed": [
        {"site": "ford", "kind": "buy", "item": "spinner", "at_least": 1, "at_most": None},
        {"site": None, "kind": "repair", "item": "spinner", "at_least": 0, "at_most": 0},
    ],
    "idle_units": [{"item": "spare", "to": "mill", "cost": 40}],
    "bundles": [
        {
            "code": "spinner", "name": "Spinner with water", "model": "spinner",
            "skills": ["staining"], "infrastructure": ["water"], "cost": 30,
        }
    ],
    "models_per_class": {"centrifuge": 1},
    "supervised_share": 0.5,
}  # fmt: skip


@pytest.fixture
def spare(small) -> EquipmentItem:
    return make_item(small.hill, small.spinner, code="spare", condition="idle")


@pytest.fixture
def draft(small, planner):
    def drafted(**asked) -> Plan:
        return draft_plan(
            title="Next year", area=small.north, capital=Decimal(3000), earmarks={},
            recurrent=None, trainer_days=None, max_units=1, minimum_evidence="B", floors={},
            gap=0, time_limit_s=30, by=planner, asked=asked,
        )  # fmt: skip

    return drafted


@pytest.mark.usefixtures("spare")
def test_everything_that_is_asked_stands_in_the_case_and_in_the_history(draft):
    plan = draft(**ALL_OF_IT)

    case = case_of(plan).case
    assert case.aim == LeastMoney(
        kind="least_money", targets=(Target(area="upper", programme=None, share=0.5),)
    )
    assert case.minimum_sets == (
        MinimumSet(code="basic", name="Basic", levels=(1, 2), tests=("haematocrit",), share=0.9),
    )
    rules = {(each.site, each.kind): (each.at_least, each.at_most) for each in case.fixed}
    assert rules == {
        ("ford", "buy"): (1, None),
        **{(site, "repair"): (0, 0) for site in ("ford", "hill", "mill")},
    }
    assert case.moves == (
        Move.model_validate(
            {"from": "hill", "to": "mill", "model": "spinner", "units": 1, "cost": 40.0}
        ),
    )
    assert [(each.model, each.cost) for each in case.bundles] == [("spinner", 30)]
    assert case.limits.models_per_class == {"centrifuge": 1}
    assert case.limits.supervised_share == 0.5
    assert type(case).read(str(case.model_dump_json(by_alias=True))).sha256() == case.sha256()
    assert Entry.objects.get().after["asked"] == plan.asked


def test_a_plan_that_asks_for_nothing_more_keeps_nothing_of_it(draft):
    assert draft().asked == {}
    assert draft(aim={"kind": "most"}, supervised_share=1, fixed=[]).asked == {}


@pytest.mark.parametrize(
    ("asked", "key", "message"),
    [
        ({"aim": {"kind": "least_money", "targets": []}}, "aim",
         "Give at least one target to reach for the least money."),
        ({"aim": {"kind": "least_money", "targets": [
            {"area": "south", "programme": None, "share": 0.5}]}}, "aim",
         "There is no area south to choose here."),
        ({"aim": {"kind": "best"}}, "aim", None),
        ({"supervised_share": 1.01}, "supervised_share", None),
        ({"wishes": 3}, "wishes", None),
        ({"minimum_sets": [{**ALL_OF_IT["minimum_sets"][0], "tests": []}]}, "minimum_sets",
         "Choose the tests and the levels of care of “Basic”."),
        ({"minimum_sets": [{**ALL_OF_IT["minimum_sets"][0], "tests": ["wood"]}]}, "minimum_sets",
         "There is no test wood to choose here."),
        ({"fixed": [{"site": "coast", "kind": "buy", "item": "spinner", "at_least": 1}]}, "fixed",
         "There is no site coast to choose here."),
        ({"fixed": [{"site": "ford", "kind": "train", "item": "spinner", "at_most": 0}]}, "fixed",
         "There is no item to train spinner to choose here."),
        ({"fixed": [{"site": None, "kind": "buy", "item": "spinner", "at_least": 1}]}, "fixed",
         "Say at which site spinner must be done; a ban may be for all."),
        ({"fixed": [
            {"site": "ford", "kind": "buy", "item": "spinner", "at_least": 2, "at_most": 1}]},
         "fixed", "spinner cannot be done at least 2 and at most 1 times."),
        ({"fixed": [ALL_OF_IT["fixed"][0]] * 2}, "fixed",
         "“buy spinner” at ford is said twice. Say it once."),
        ({"idle_units": [{"item": "nothing"}]}, "idle_units",
         "There is no idle unit nothing to choose here."),
        ({"idle_units": [{"item": "spare", "to": "hill"}]}, "idle_units",
         "The unit spare is at hill already."),
        ({"bundles": ALL_OF_IT["bundles"] * 2}, "bundles",
         "The model spinner has two bundles. Put them into one."),
        ({"models_per_class": {"wood": 1}}, "models_per_class",
         "There is no class wood to choose here."),
    ],
)  # fmt: skip
@pytest.mark.usefixtures("spare")
def test_what_cannot_be_asked_is_refused_by_its_key_and_nothing_is_kept(draft, asked, key, message):
    make_facility("coast", make_district("south"))

    with pytest.raises(ValidationError) as refused:
        draft(**asked)

    assert list(refused.value.message_dict) == [key]
    if message:
        assert refused.value.message_dict[key][0] == message
    assert not Plan.objects.exists()


def test_a_unit_for_wherever_it_helps_may_go_where_none_like_it_works(draft, spare):
    case = case_of(draft(idle_units=[{"item": "spare", "to": None, "cost": 5}])).case

    assert [(move.origin, move.to) for move in case.moves] == [("hill", "ford"), ("hill", "mill")]


def test_a_unit_that_is_no_longer_idle_is_not_moved_and_listed(draft, spare):
    plan = draft(idle_units=[{"item": "spare", "to": "mill", "cost": 5}])
    EquipmentItem.objects.filter(code="spare").update(condition="in_use")

    frozen = case_of(plan)

    assert frozen.case.moves == ()
    assert [(each.facility_code, each.why) for each in frozen.left_out] == [
        ("hill", "spare was to be moved from here; it is not there any more, or not idle")
    ]


def test_a_wish_for_a_site_whose_people_are_not_known_stops_the_run(draft, small):
    plan = draft(fixed=[{"site": "ford", "kind": "buy", "item": "spinner", "at_least": 1}])
    type(small.ford).objects.filter(pk=small.ford.pk).update(population=None)

    with pytest.raises(EngineError) as refused:
        case_of(plan)

    assert str(refused.value).startswith("ford must get spinner, but its population")


def test_a_ban_for_a_site_that_is_left_out_needs_nothing(draft, small):
    plan = draft(fixed=[{"site": "ford", "kind": "buy", "item": "spinner", "at_most": 0}])
    type(small.ford).objects.filter(pk=small.ford.pk).update(population=None)

    assert case_of(plan).case.fixed == ()


def test_what_is_said_of_one_site_goes_before_what_is_said_of_all(draft):
    rule = {"kind": "buy", "item": "spinner"}
    plan = draft(
        fixed=[{**rule, "site": "ford", "at_least": 1}, {**rule, "site": None, "at_most": 0}]
    )

    assert case_of(plan).case.fixed[0] == Fixed(
        site="ford", kind="buy", item="spinner", at_least=1, at_most=None
    )
    assert [each.at_most for each in case_of(plan).case.fixed] == [None, 0, 0]


@pytest.mark.usefixtures("spare")
def test_a_unit_that_is_moved_is_a_line_of_the_run_and_the_summary_tells_how_far_it_gets(
    small, planner
):
    asked = {
        "idle_units": [{"item": "spare", "to": "mill", "cost": 40}],
        "minimum_sets": ALL_OF_IT["minimum_sets"],
    }
    run = computed(make_run(make_plan(small.north, planner, capital=3000, asked=asked)))

    assert run.message == ""
    assert ("move", "spinner") in set(run.lines.values_list("kind", "item_code"))
    reached = run.summary["asked"]["minimum_sets"]
    assert (reached["reached"], reached["pairs"]) == (3, 3)


def test_a_run_is_told_beside_other_budgets_and_simple_ways(run):
    summary = computed(run).summary

    frontier = summary["frontier"]
    assert frontier["today"] == pytest.approx(1 / 3)
    budgets = [point["budget"] for point in frontier["points"]]
    assert (budgets[0], budgets[-1]) == (0, frontier["useful"])
    assert [each["way"] for each in summary["baselines"]] == [
        "equal_shares", "largest_first", "greedy",
    ]  # fmt: skip
    assert max(each["objective"] for each in summary["baselines"]) <= run.bound * (1 + 1e-6)


def test_a_run_tells_who_gains_and_who_is_left_out(run):
    summary = computed(run).summary

    assert summary["sites"]["hill"] == [500, 500, 500]
    assert summary["people"]["gain"] < summary["people"]["all"]
    assert len(summary["fifths"]) == 5
    assert summary["remaining"]["by_why"] == {"elsewhere": 500}
    assert summary["running"] == {"before": 125, "after": 50 + 30 + 250}
