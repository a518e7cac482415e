"""A test that only unknown facts may stand in the way of is unknown, with what to ask."""

import pytest

from apps.coverage.services import refresh_coverage
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_method,
    make_need,
)
from tests.factories.facilities import make_route
from tests.factories.inventory import (
    make_infrastructure_held,
    make_item,
    make_skill_held,
)


def finding(small, site):
    return refresh_coverage(area=small.north, by=None).findings.get(facility=site)


def equip(small, site, *, condition="in_use", staff=1, presence="present") -> None:
    """What packed cell volume needs; ``None`` leaves a fact out of the register."""
    if condition:
        make_item(site, small.spinner, condition)
    if staff is not None:
        make_skill_held(site, small.staining, staff)
    if presence:
        make_infrastructure_held(site, small.water, presence)


@pytest.mark.parametrize(
    ("facts", "questions"),
    [
        ({"presence": None}, ["Ask whether Ford has running water"]),
        ({"presence": "unknown"}, ["Ask whether Ford has running water"]),
        ({"staff": None}, ["Ask whether anybody at Ford is trained in staining"]),
        ({"condition": "unknown"}, ["Find out whether the spinner at Ford works"]),
        (
            {"condition": "unknown", "staff": None, "presence": None},
            [
                "Ask whether anybody at Ford is trained in staining",
                "Ask whether Ford has running water",
                "Find out whether the spinner at Ford works",
            ],
        ),
    ],
)
def test_unknown_facts_that_would_settle_it_make_it_unknown_with_what_to_ask(
    small, facts, questions
):
    equip(small, small.ford, **facts)

    found = finding(small, small.ford)

    assert (found.state, found.detail["questions"]) == ("unknown", questions)
    assert not found.detail["methods"][0]["runs"]


@pytest.mark.parametrize(
    "facts",
    [
        {"presence": None, "staff": 0},
        {"presence": "absent", "staff": None},
        {"presence": None, "condition": None},
        {"presence": None, "condition": "beyond_repair"},
        {"staff": 0},
    ],
)
def test_a_fact_that_is_known_to_stand_in_the_way_blocks_whatever_else_is_unknown(small, facts):
    equip(small, small.ford, **facts)

    found = finding(small, small.ford)

    assert (found.state, found.detail["questions"]) == ("blocked", [])


def test_what_is_not_known_is_said_to_be_so_and_not_to_be_lacking(small):
    make_item(small.ford, small.spinner, "unknown")

    [method] = finding(small, small.ford).detail["methods"]
    [at_mill] = finding(small, small.mill).detail["methods"]

    assert [lack["reason"] for lack in method["missing"]] == [
        "Spinner: condition not known",
        "staining: not known",
        "running water: not known",
    ]
    assert [lack["reason"] for lack in at_mill["missing"]] == [
        "no centrifuge on site",
        "staining: nobody is trained",
        "running water: not there",
    ]


def test_a_unit_of_unknown_condition_is_named_beside_one_that_does_not_suffice(small):
    slow = make_device_model("slow", small.spinner.served_classes.get().device_class,
                             specs={"rcf_g": 500})  # fmt: skip
    make_item(small.ford, slow)
    make_item(small.ford, small.spinner, "unknown")

    [method] = finding(small, small.ford).detail["methods"]

    assert method["missing"][0]["reason"] == (
        "Slow: rcf_g: needs at least 10\N{NARROW NO-BREAK SPACE}000\N{NARROW NO-BREAK SPACE}g, "
        "reaches 500\N{NARROW NO-BREAK SPACE}g; Spinner: condition not known"
    )


def test_a_referral_stands_but_keeps_the_question(small):
    make_route(small.ford, small.hill, hours=3)
    equip(small, small.ford, presence=None)

    found = finding(small, small.ford)

    assert (found.state, found.referred_to) == ("referred", small.hill)
    assert found.detail["questions"] == ["Ask whether Ford has running water"]


def test_a_unit_that_would_change_nothing_is_not_asked_about(small):
    equip(small, small.ford, presence=None)
    make_item(small.ford, small.spinner, "unknown")

    assert finding(small, small.ford).detail["questions"] == ["Ask whether Ford has running water"]


def test_the_method_that_could_be_best_is_asked_about_first(small):
    make_method("by-eye", small.haematocrit, infrastructure=(small.water,), sensitivity=0.5)
    equip(small, small.ford, staff=None, presence=None)

    assert finding(small, small.ford).detail["questions"] == [
        "Ask whether anybody at Ford is trained in staining",
        "Ask whether Ford has running water",
    ]


def test_an_unknown_specification_is_asked_for_after_the_facts(small):
    strip = make_device_class("strip-reader", glucose_mmol="range")
    reader = make_device_model("reader", strip)
    method = make_method("read", small.haematocrit, infrastructure=(small.water,), sensitivity=1)
    make_need(method, strip, glucose_mmol=("covers", [1, 30]))
    make_item(small.mill, reader)
    small.mill.infrastructurehelds.all().delete()

    found = finding(small, small.mill)

    assert found.state == "unknown"
    assert found.detail["questions"] == [
        "Ask whether Mill has running water",
        "measure or find glucose_mmol of Reader",
    ]


def test_a_test_that_nobody_asks_for_raises_no_question(small):
    small.ford.demands.all().delete()

    found = finding(small, small.ford)

    assert (found.state, found.detail["questions"]) == ("not_expected", [])
