"""Reasons name the tests, numbers and people that an action is for; shares say how many."""

import json

from planner.engine.allocation.explain import CoverageShare, Reason, coverage_shares, reasons
from planner.engine.attributes import THIN
from planner.engine.case import Case, Result
from tests.factories import cases
from tests.factories.results import (
    action,
    result,
    three_sites,
    three_sites_result,
    volume,
)


def example() -> tuple[Case, Result]:
    document = json.dumps(three_sites_result())
    return three_sites(), Result.model_validate_json(document)


def test_every_action_of_the_example_has_its_reason_in_the_same_order():
    case, answer = example()

    found = reasons(case, answer)

    assert [(r.site, r.kind, r.item, r.tests, r.tests_per_year, r.people) for r in found] == [
        ("ashbrook", "buy", "spin-hand", ("anaemia",), 900, 5200),
        ("ashbrook", "train", "spinning", ("anaemia",), 900, 5200),
        ("millford", "repair", "micro-led", ("malaria", "urine", "tb-smear"), 3080, 23200),
        ("millford", "buy", "crank", ("urine",), 700, 18000),
        ("millford", "train", "spinning", ("anaemia", "urine"), 3300, 18000),
        ("thornley", "buy", "micro-led", ("malaria", "tb-smear"), 960, 7400),
        ("thornley", "buy", "spin-hand", ("anaemia",), 1200, 7400),
        ("thornley", "train", "microscopy", ("malaria", "tb-smear"), 960, 7400),
    ]


def test_a_reason_names_tests_partners_people_and_senders():
    case, answer = example()

    repaired = reasons(case, answer)[2]

    assert repaired.text == (
        f"Makes possible here: Malaria parasites, 2{THIN}200 a year; AFB smear, 180 a year. "
        "Together with Hand-cranked tube centrifuge and training in Centrifuge operation: "
        f"Urine sediment, 700 a year. For 23{THIN}200 people, with specimens sent from "
        "Ashbrook health post (700 a year)."
    )


def district(**given) -> Case:
    """Two ways to count red cells at one site: by a unit of ``old`` today, by ``new`` better."""
    return cases.case(
        device_models=[
            cases.device_model("old", cases.serves("spinner", grade=1), hours_per_year=50),
            cases.device_model("new", cases.serves("spinner", grade=2), hours_per_year=50),
        ],
        tests=[cases.lab_test("pcv"), cases.lab_test("urine")],
        methods=[
            cases.method("rough", "pcv", cases.need("spinner", hours=1), sensitivity=0.6),
            cases.method(
                "fine", "pcv", cases.need("spinner", hours=1, grade={"min": 2}), sensitivity=0.9
            ),
        ],
        sites=[cases.site(population=4000, demand={"pcv": 100})],
        stock=[cases.stock("hill", "old", working=1)],
        **given,
    )


def only_reason(case: Case, *volumes) -> Reason:
    bought = (action("hill", "buy", "new"),)
    [found] = reasons(case, result(case, actions=bought, volumes=volumes))
    return found


def test_a_better_way_for_a_test_that_ran_before_is_called_that():
    found = only_reason(district(), volume("hill", "hill", "fine", 50.0))

    assert found == Reason(
        "hill",
        "buy",
        "new",
        "Makes possible here, a more sensitive way than before: pcv, 50 a year. "
        f"For 4{THIN}000 people.",
        ("pcv",),
        50.0,
        4000.0,
    )


def test_another_way_that_is_no_better_is_called_one_more():
    case = district()
    equal = cases.method(
        "fine", "pcv", cases.need("spinner", hours=1, grade={"min": 2}), sensitivity=0.6
    )
    worst = cases.method("worst", "pcv", sensitivity=0.1)
    other = case.model_copy(update={"methods": (worst, case.methods[0], equal)})

    found = only_reason(other, volume("hill", "hill", "fine", 50.0))

    assert found.text == (
        f"Makes possible here, one more way than before: pcv, 50 a year. For 4{THIN}000 people."
    )


def test_a_unit_beside_one_that_suits_adds_hours():
    found = only_reason(district(), volume("hill", "hill", "rough", 100.0))

    assert found.text == (
        f"Adds 50 machine hours a year for pcv, 100 a year. For 4{THIN}000 people."
    )


def test_a_purchase_that_nothing_needs_is_said_to_be_idle():
    assert only_reason(district()) == Reason(
        "hill", "buy", "new", "No test of this plan needs it.", (), 0, 0
    )


def lit(*needs) -> Case:
    """A test that takes ``needs`` and a lamp; the site has one broken "old" and no lamp."""
    return cases.case(
        infrastructure=[cases.infrastructure("lamp", cost={"1": 5}), cases.infrastructure("well")],
        device_models=[
            cases.device_model("old", cases.serves("reader")),
            cases.device_model("idle", cases.serves("washer")),
        ],
        tests=[cases.lab_test("urine")],
        methods=[cases.method("read", "urine", *needs, infrastructure=["lamp"])],
        sites=[cases.site(population=7, infrastructure=["well"], demand={"urine": 100})],
        stock=[
            cases.stock("hill", "old", working=0, broken=1),
            cases.stock("hill", "idle", working=1),
        ],
    )


def test_infrastructure_and_repairs_name_each_other_and_a_volume_below_one():
    case = lit(cases.need("reader"), cases.need("washer"))
    actions = (action("hill", "repair", "old"), action("hill", "provide", "lamp"))
    volumes = (volume("hill", "hill", "read", 0.4),)

    found = reasons(case, result(case, actions=actions, volumes=volumes))

    assert [reason.text for reason in found] == [
        "Makes possible here, together with lamp: urine, less than 1 a year. For 7 people.",
        "Makes possible here, together with the repair of old: urine, less than 1 a year. "
        "For 7 people.",
    ]


def test_a_method_that_lacked_one_of_its_two_units_did_not_run_before():
    case = cases.case(
        device_models=[
            cases.device_model("reader", cases.serves("reader")),
            cases.device_model("washer", cases.serves("washer")),
        ],
        tests=[cases.lab_test("urine")],
        methods=[
            cases.method("read", "urine", cases.need("reader"), cases.need("washer")),
            cases.method("rough", "urine", cases.need("reader"), sensitivity=0.5),
        ],
        sites=[cases.site(population=7, demand={"urine": 100})],
        stock=[cases.stock("hill", "washer", working=1)],
    )
    bought = (action("hill", "buy", "reader"),)
    volumes = (volume("hill", "hill", "read", 60.0), volume("hill", "hill", "rough", 40.0))

    [found] = reasons(case, result(case, actions=bought, volumes=volumes))

    assert found.text == "Makes possible here: urine, 100 a year. For 7 people."


def test_the_best_of_the_ways_in_use_is_compared_with_those_before():
    case = district()
    lesser = case.methods[1].model_copy(update={"code": "lesser", "sensitivity": 0.5})
    both = case.model_copy(update={"methods": (*case.methods, lesser)})

    found = only_reason(
        both, volume("hill", "hill", "lesser", 10.0), volume("hill", "hill", "fine", 40.0)
    )

    assert found.text == (
        "Makes possible here, a more sensitive way than before: pcv, 50 a year. "
        f"For 4{THIN}000 people."
    )


def test_infrastructure_that_no_method_in_use_needs_is_idle():
    case = lit(cases.need("reader"))
    provided = (action("hill", "provide", "lamp"), action("hill", "buy", "idle"))

    found = reasons(case, result(case, actions=provided))

    assert [reason.text for reason in found] == ["No test of this plan needs it."] * 2


def test_hours_are_counted_for_a_method_with_any_need_that_the_unit_suits():
    case = lit(cases.need("washer"), cases.need("reader"))
    working = case.model_copy(
        update={"stock": (*case.stock[1:], cases.stock("hill", "old", working=1))}
    )
    bought = (action("hill", "buy", "idle"),)
    volumes = (volume("hill", "hill", "read", 1.0),)

    [found] = reasons(working, result(working, actions=bought, volumes=volumes))

    assert found.text == (
        f"Adds 2{THIN}000 machine hours a year for urine, 1 a year. For 7 people."
    )


def test_more_than_three_senders_are_counted_after_the_largest():
    hub = cases.site("hub", population=100)
    senders = [cases.site(code, population=10, demand={"pcv": 9}) for code in "abcd"]
    case = cases.case(
        skills=[cases.skill("spin")],
        tests=[cases.lab_test("pcv", max_transport_hours=5)],
        methods=[cases.method("spun", "pcv", skills=["spin"])],
        sites=[hub, *senders],
        links=[cases.link(code, "hub") for code in "abcd"],
    )
    sent = [
        volume(code, "hub", "spun", n) for code, n in zip("abcd", (4.0, 7.0, 4.0, 0.4), strict=True)
    ]

    trained = (action("hub", "train", "spin"),)

    [of_four] = reasons(case, result(case, actions=trained, volumes=tuple(sent)))
    [of_three] = reasons(case, result(case, actions=trained, volumes=tuple(sent[:3])))

    assert (of_four.text, of_three.text) == (
        "Makes possible here: pcv, 15 a year. For 40 people, with specimens sent from "
        "b (7 a year), a (4 a year), c (4 a year) and 1 more.",
        "Makes possible here: pcv, 15 a year. For 30 people, with specimens sent from "
        "b (7 a year), a (4 a year) and c (4 a year).",
    )


def test_shares_are_told_for_the_district_each_area_and_each_programme():
    # Asked: 900 + 700 + 150 and so on; Ashbrook's malaria counts for its own area, north.
    assert coverage_shares(*example()) == (
        CoverageShare("district", "", "Three sites, four tests", 9090, 8740, 11075, 10525),
        CoverageShare("area", "north", "North block", 6730, 6580, 8087, 7777),
        CoverageShare("area", "south", "South block", 2360, 2160, 2988, 2748),
        CoverageShare("programme", "general", "General services", 5990, 5640, 5495, 4945),
        CoverageShare("programme", "malaria", "Malaria", 3100, 3100, 5580, 5580),
    )


def test_a_share_of_nothing_asked_is_not_a_number_made_up():
    case = cases.case()

    district, *_ = coverage_shares(case, result(case))

    assert (district.met_share, district.worth_share) == (None, None)


def test_shares_are_of_what_is_asked_and_of_what_it_could_be_worth():
    case, answer = example()

    north = coverage_shares(case, answer)[1]

    assert (north.met_share, north.worth_share) == (6580 / 6730, 7777 / 8087)
