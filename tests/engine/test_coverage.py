"""The state of a site and test, and where people go."""

import pytest

from planner.engine.coverage import (
    STATES,
    Cell,
    Coverage,
    Fix,
    FixAction,
    Referral,
    State,
    assess,
)
from tests.factories.cases import (
    device_model,
    infrastructure,
    link,
    method,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.clotting import PLASMA, SPINNER, plasma, referring


def states(coverage: Coverage) -> list[list[State]]:
    return [[STATES[code] for code in row] for row in coverage.state]


@pytest.mark.parametrize(
    ("working", "broken", "state"),
    [(1, 0, State.RUNS), (0, 1, State.BLOCKED), (0, 0, State.BLOCKED), (2, 1, State.RUNS)],
)
def test_a_test_runs_with_one_working_unit_and_not_with_broken_ones(working, broken, state):
    held = [stock("hill", "spinner", working=working, broken=broken)]

    assert states(assess(plasma(stock=held))) == [[state]]


@pytest.mark.parametrize(
    ("spec", "state"),
    [
        ({"rcf_g": 1500}, State.RUNS),
        ({"rcf_g": 1499}, State.BLOCKED),
        ({}, State.UNKNOWN),
        ({"rcf_g": "strong"}, State.UNKNOWN),
    ],
)
def test_a_unit_one_g_too_weak_blocks_and_a_unit_of_unknown_force_leaves_the_test_open(spec, state):
    held = {
        "device_models": [device_model("spinner", serves("centrifuge", **spec))],
        "stock": [stock("hill", "spinner", working=1)],
    }

    assert states(assess(plasma(**held))) == [[state]]


@pytest.mark.parametrize(("grade", "state"), [("B", State.RUNS), ("C", State.BLOCKED)])
def test_a_unit_below_the_minimum_evidence_counts_for_nothing(grade, state):
    model = device_model("spinner", serves("centrifuge", rcf_g=1500), evidence=grade)
    held = [stock("hill", "spinner", working=1)]

    found = assess(plasma(minimum_evidence="B", device_models=[model], stock=held))

    assert states(found) == [[state]]


def test_a_unit_below_the_minimum_evidence_is_not_unknown_even_if_its_force_is():
    model = device_model("spinner", serves("centrifuge"), evidence="D", name="Paper disc")
    held = [stock("hill", "spinner", working=1)]

    cell = assess(plasma(minimum_evidence="B", device_models=[model], stock=held)).cell(
        "hill", "clotting"
    )

    assert (cell.state, cell.questions) == (State.BLOCKED, ())
    assert [each.reason for each in cell.methods[0].missing] == [
        "Paper disc: not accepted: evidence grade D"
    ]


@pytest.mark.parametrize("lacking", ["skills", "infrastructure"])
def test_a_test_is_blocked_by_a_skill_or_an_item_that_the_site_does_not_have(lacking):
    asked = {"skills": ["spinning"], "infrastructure": ["power"]}
    held = {**asked, lacking: []}

    found = assess(
        plasma(
            skills=[skill("spinning")],
            infrastructure=[infrastructure("power")],
            methods=[method("plasma", "clotting", PLASMA, **asked)],
            sites=[
                site("with", demand={"clotting": 10}, **asked),
                site("without", demand={"clotting": 10}, **held),
            ],
            stock=[stock("with", "spinner", working=1), stock("without", "spinner", working=1)],
        )
    )

    assert states(found) == [[State.RUNS], [State.BLOCKED]]


def test_an_unknown_unit_does_not_make_open_what_a_missing_skill_blocks():
    found = assess(
        plasma(
            skills=[skill("spinning")],
            device_models=[device_model("spinner", serves("centrifuge"))],
            methods=[method("plasma", "clotting", PLASMA, skills=["spinning"])],
            stock=[stock("hill", "spinner", working=1)],
        )
    )

    assert states(found) == [[State.BLOCKED]]


def test_a_method_without_needs_runs_everywhere():
    assert states(assess(plasma(methods=[method("look", "clotting")]))) == [[State.RUNS]]


def test_a_test_without_a_method_is_blocked_and_says_so():
    cell = assess(plasma(methods=[])).cell("hill", "clotting")

    assert cell == Cell(
        site="hill",
        test="clotting",
        state=State.BLOCKED,
        demand=10.0,
        running=(),
        method=None,
        referral=None,
        methods=(),
        fix=None,
        no_fix="the case has no method for this test",
        questions=(),
    )


@pytest.mark.parametrize(
    ("demand", "working", "state"),
    [
        ({}, 0, State.NOT_EXPECTED),
        ({"clotting": 0}, 0, State.NOT_EXPECTED),
        ({"clotting": 0.5}, 0, State.BLOCKED),
        ({"clotting": 0}, 1, State.RUNS),
    ],
)
def test_a_test_that_nobody_asks_for_is_not_expected_unless_it_runs(demand, working, state):
    held = [stock("hill", "spinner", working=working)]

    assert states(assess(plasma(sites=[site("hill", demand=demand)], stock=held))) == [[state]]


@pytest.mark.parametrize(
    ("hours", "limit_hours", "state"),
    [
        (24, 24, State.REFERRED),
        (24.1, 24, State.BLOCKED),
        (0, 0, State.REFERRED),
        (0, None, State.BLOCKED),
    ],
)
def test_a_specimen_is_referred_only_while_it_keeps(hours, limit_hours, state):
    found = assess(referring(link("hill", "town", hours=hours), limit_hours=limit_hours))

    assert states(found)[0] == [state]


def test_a_specimen_does_not_travel_against_a_link_nor_over_two_nor_to_a_site_that_cannot():
    against = link("town", "hill")
    through = [link("hill", "wood"), link("wood", "town")]

    assert states(assess(referring(against, *through)))[0] == [State.BLOCKED]


@pytest.mark.parametrize(
    ("port", "town", "chosen"),
    [
        ({"hours": 9, "cost": 1}, {"hours": 1, "cost": 2}, "port"),
        ({"hours": 2, "cost": 1}, {"hours": 1, "cost": 1}, "town"),
        ({"hours": 1, "cost": 1}, {"hours": 1, "cost": 1}, "port"),
        ({"hours": 25, "cost": 0}, {"hours": 24, "cost": 9}, "town"),
    ],
)
@pytest.mark.parametrize("order", [1, -1])
def test_the_cheapest_site_in_reach_is_taken_then_the_fastest_then_the_first_by_code(
    port, town, chosen, order
):
    links = [link("hill", "port", **port), link("hill", "town", **town)][::order]

    cell = assess(referring(*links)).cell("hill", "clotting")

    figures = {"port": port, "town": town}[chosen]
    expected = Referral(chosen, "plasma", float(figures["hours"]), float(figures["cost"]))
    assert (cell.state, cell.referral, cell.method) == (State.REFERRED, expected, "plasma")


def test_a_referral_leaves_the_question_and_the_fix_on_site_in_sight():
    silent = device_model("silent", serves("centrifuge"), price=5000, name="Old spinner")

    found = assess(
        referring(
            link("hill", "town", hours=3, cost=0.5),
            device_models=[SPINNER, silent],
            stock=[stock("town", "spinner", working=1), stock("hill", "silent", working=1)],
        )
    )

    cell = found.cell("hill", "clotting")
    assert (cell.state, cell.questions, cell.fix) == (
        State.REFERRED,
        ("measure or find rcf_g (greatest relative centrifugal force) of Old spinner",),
        Fix("plasma", (FixAction("buy", "spinner", 900.0),), 900.0),
    )


def test_a_site_where_the_test_runs_does_not_refer_and_asks_nothing():
    silent = device_model("silent", serves("centrifuge"))

    found = assess(
        referring(
            link("hill", "town"),
            device_models=[SPINNER, silent],
            stock=[
                stock("town", "spinner", working=1),
                stock("hill", "spinner", working=1),
                stock("hill", "silent", working=1),
            ],
        )
    )

    cell = found.cell("hill", "clotting")
    assert (cell.state, cell.referral, cell.questions, cell.fix, cell.no_fix) == (
        State.RUNS,
        None,
        (),
        None,
        "",
    )


@pytest.mark.parametrize(
    ("figures", "best"),
    [
        ({"b": {"sensitivity": 0.9}, "a": {"sensitivity": 0.8}}, "b"),
        ({"b": {"consumable_cost": 1}, "a": {"consumable_cost": 2}}, "b"),
        ({"b": {}, "a": {}}, "a"),
        ({"b": {"sensitivity": 0.9, "consumable_cost": 9}, "a": {"sensitivity": 0.8}}, "b"),
    ],
)
def test_the_best_method_is_the_most_sensitive_then_the_cheapest_then_the_first_by_code(
    figures, best
):
    methods = [method(code, "clotting", **given) for code, given in figures.items()]

    cell = assess(plasma(methods=methods)).cell("hill", "clotting")

    assert (cell.method, cell.running[0], sorted(cell.running)) == (best, best, ["a", "b"])


def test_a_method_that_does_not_run_is_not_the_best_however_sensitive():
    methods = [
        method("plasma", "clotting", PLASMA, sensitivity=0.99),
        method("look", "clotting", sensitivity=0.5),
    ]

    cell = assess(plasma(methods=methods)).cell("hill", "clotting")

    assert (cell.method, cell.running) == ("look", ("look",))
