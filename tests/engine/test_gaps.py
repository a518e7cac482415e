"""The cheapest set of actions that makes a method run at a site."""

from collections.abc import Iterator
from itertools import chain, combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.engine.capability import Situation
from planner.engine.case import Case, Site
from planner.engine.coverage import STATES, Fix, FixAction, State, assess
from planner.engine.coverage.cells import NOT_ON_SITE
from planner.engine.gaps import MethodFixes
from tests.factories.cases import (
    case,
    device_model,
    infrastructure,
    lab_test,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)
from tests.factories.strategies import cases
from tests.independent.plain_coverage import YES, PlainCoverage


def lab(*needs, models=(), held=(), **given) -> Case:
    """One site asking for one test by one method, with what the method and the site have."""
    asked = {name: given.pop(name) for name in ("skills", "infrastructure") if name in given}
    values = {
        "device_models": models,
        "tests": [lab_test("film")],
        "methods": [method("smear", "film", *needs, **asked)],
        "sites": [site("hill", demand={"film": 1})],
        "stock": held,
        "skills": [skill("optics", training_cost=45)],
        "infrastructure": [infrastructure("power", cost={"1": 140})],
    }
    return case(**{**values, **given})


def actions(built: Case) -> list[tuple[str, str, float]] | None:
    fix = assess(built).cell("hill", "film").fix
    return None if fix is None else [(each.kind, each.item, each.cost) for each in fix.actions]


def scope(code: str, na: float = 1.25, **given):
    return device_model(code, serves("microscope", na=na), **given)


FINE = need("microscope", na={"min": 1.25})


@pytest.mark.parametrize(
    ("repair_cost", "action"),
    [
        (99, ("repair", "old", 99.0)),
        (100, ("repair", "old", 100.0)),
        (101, ("buy", "old", 100.0)),
    ],
)
def test_a_broken_unit_is_repaired_unless_a_purchase_is_cheaper(repair_cost, action):
    models = [scope("old", price=100, repair_cost=repair_cost)]

    assert actions(lab(FINE, models=models, held=[stock("hill", "old", broken=1)])) == [action]


@pytest.mark.parametrize("held", [[], [stock("hill", "old", working=0, broken=0)]])
def test_a_model_that_has_no_broken_unit_on_site_cannot_be_repaired(held):
    models = [scope("old", price=100, repair_cost=1)]

    assert actions(lab(FINE, models=models, held=held)) == [("buy", "old", 100.0)]


def test_a_broken_unit_at_another_site_is_not_repaired_for_this_one():
    built = lab(
        FINE,
        models=[scope("old", price=100, repair_cost=1)],
        sites=[site("hill", demand={"film": 1}), site("town")],
        held=[stock("town", "old", broken=1)],
    )

    assert actions(built) == [("buy", "old", 100.0)]


def test_the_cheapest_of_several_broken_units_is_repaired():
    models = [scope(code, price=500, repair_cost=cost) for code, cost in (("a", 30), ("b", 20))]
    held = [stock("hill", "a", broken=1), stock("hill", "b", broken=2)]

    assert actions(lab(FINE, models=models, held=held)) == [("repair", "b", 20.0)]


@pytest.mark.parametrize(("na", "bought"), [(1.25, "cheap"), (1.24, "dear")])
def test_the_cheapest_model_that_suits_is_bought(na, bought):
    models = [scope("dear", price=900), scope("cheap", na=na, price=80)]

    assert [item for _, item, _ in actions(lab(FINE, models=models))] == [bought]


@pytest.mark.parametrize(("grade", "bought"), [("B", "cheap"), ("C", "dear")])
def test_a_model_below_the_minimum_evidence_is_neither_bought_nor_repaired(grade, bought):
    models = [scope("dear", price=900), scope("cheap", price=80, evidence=grade)]
    held = [stock("hill", "cheap", broken=1)]

    found = actions(lab(FINE, models=models, held=held, minimum_evidence="B"))

    assert [item for _, item, _ in found] == [bought]


def test_a_model_of_unknown_specification_is_neither_bought_nor_repaired():
    silent = device_model("silent", serves("microscope"), price=1)
    held = [stock("hill", "silent", broken=1)]

    found = assess(lab(FINE, models=[silent], held=held)).cell("hill", "film")

    assert (found.state, found.fix) == (State.BLOCKED, None)


def test_an_unknown_test_has_the_fix_that_would_settle_it_without_measuring():
    silent = device_model("silent", serves("microscope"), price=1)
    held = [stock("hill", "silent", working=1)]

    found = assess(lab(FINE, models=[silent, scope("fine", price=900)], held=held))

    cell = found.cell("hill", "film")
    assert (cell.state, [each.item for each in cell.fix.actions]) == (State.UNKNOWN, ["fine"])


@pytest.mark.parametrize(
    ("price_of_both", "bought"),
    [(199, ["both"]), (200, ["both"]), (201, ["bath", "scope"])],
)
def test_one_unit_that_serves_two_needs_is_bought_unless_two_units_are_cheaper(
    price_of_both, bought
):
    models = [
        device_model("bath", serves("bath"), price=100),
        scope("scope", price=100),
        device_model("both", serves("bath"), serves("microscope", na=1.25), price=price_of_both),
    ]

    found = actions(lab(FINE, need("bath"), models=models))

    assert [item for _, item, _ in found] == bought


def test_a_need_that_is_met_already_is_not_paid_for_again():
    models = [
        device_model("bath", serves("bath"), price=100),
        device_model("both", serves("bath"), serves("microscope", na=1.25), price=150),
        scope("scope", price=120),
    ]
    held = [stock("hill", "bath", working=1)]

    found = actions(lab(FINE, need("bath"), models=models, held=held))

    assert found == [("buy", "scope", 120.0)]


def test_the_same_need_asked_twice_is_met_by_one_unit():
    assert actions(lab(FINE, FINE, models=[scope("a", price=7)])) == [("buy", "a", 7.0)]


@pytest.mark.parametrize(
    ("held_skills", "held_items", "expected"),
    [
        ([], [], [("train", "optics", 45.0), ("provide", "power", 140.0)]),
        (["optics"], [], [("provide", "power", 140.0)]),
        ([], ["power"], [("train", "optics", 45.0)]),
    ],
)
def test_only_skills_and_infrastructure_that_are_lacking_are_paid_for(
    held_skills, held_items, expected
):
    place = site("hill", demand={"film": 1}, skills=held_skills, infrastructure=held_items)

    assert actions(lab(skills=["optics"], infrastructure=["power"], sites=[place])) == expected


@pytest.mark.parametrize(("level", "price"), [(1, 140.0), (2, None)])
def test_infrastructure_costs_what_it_costs_at_the_level_of_the_site_or_cannot_be_had(level, price):
    place = site("hill", level=level, demand={"film": 1})

    found = actions(lab(infrastructure=["power"], sites=[place]))

    assert found == (None if price is None else [("provide", "power", price)])


def test_sites_of_different_levels_have_different_fixes_though_they_lack_the_same():
    built = lab(
        infrastructure=["power"],
        sites=[site(code, level=level) for code, level in (("a", 1), ("b", 2), ("c", 1))],
    )
    item = infrastructure("power", cost={"1": 140, "2": 90})
    situation = Situation.of(built.model_copy(update={"infrastructure": (item,)}))

    found, own = MethodFixes(situation, 0).fixes(np.arange(3))

    assert [found[position].cost for position in own] == [140.0, 90.0, 140.0]


def test_infrastructure_that_the_site_has_needs_no_price():
    place = site("hill", level=2, demand={"film": 1}, infrastructure=["power"])

    found = actions(lab(skills=["optics"], infrastructure=["power"], sites=[place]))

    assert found == [("train", "optics", 45.0)]


@pytest.mark.parametrize(
    ("price", "chosen"),
    [(44, "photo"), (45, "smear"), (46, "smear")],
)
def test_the_cheapest_method_is_fixed_and_of_equal_costs_the_better_one(price, chosen):
    built = lab(
        models=[device_model("meter", serves("photometer"), price=price)],
        methods=[
            method("photo", "film", need("photometer"), sensitivity=0.8),
            method("smear", "film", skills=["optics"], sensitivity=0.9),
        ],
    )

    assert assess(built).cell("hill", "film").fix.method == chosen


def test_the_cost_of_a_fix_is_nothing_where_the_test_runs_and_undefined_where_nobody_asks():
    built = lab(
        skills=["optics"],
        sites=[
            site("hill", demand={"film": 1}),
            site("town", demand={"film": 1}, skills=["optics"]),
            site("wood"),
        ],
    )

    found = assess(built)

    np.testing.assert_array_equal(found.fix_cost, [[45.0], [0.0], [np.nan]])
    assert found.fix_method.tolist() == [[0], [-1], [-1]]


def test_a_page_shows_the_fix_of_each_method_even_where_nobody_asks():
    cell = assess(lab(skills=["optics"], sites=[site("hill")])).cell("hill", "film")

    assert (cell.state, cell.fix, cell.methods[0].fix) == (
        State.NOT_EXPECTED,
        None,
        Fix("smear", (FixAction("train", "optics", 45.0),), 45.0),
    )


def carried_out(drawn: Case, at: str, done: tuple[FixAction, ...]) -> Case:
    """The case after the actions at the site ``at``: units in stock, skills and items there."""
    units = {(entry.site, entry.model): entry for entry in drawn.stock}
    [place] = [each for each in drawn.sites if each.code == at]
    held = {"train": list(place.skills), "provide": list(place.infrastructure)}
    for action in done:
        if action.kind in held:
            held[action.kind].append(action.item)
            continue
        entry = units.get((at, action.item), stock(at, action.item))
        mended = action.kind == "repair"
        units[at, action.item] = stock(
            at, action.item, working=entry.working + 1, broken=entry.broken - mended
        )
    after = place.model_copy(
        update={"skills": tuple(held["train"]), "infrastructure": tuple(held["provide"])}
    )
    sites = tuple(after if each is place else each for each in drawn.sites)
    return drawn.model_copy(update={"sites": sites, "stock": tuple(units.values())})


def cells_to_fix(drawn: Case) -> Iterator[tuple[Site, str, float]]:
    """Site, test and cost of the fix, wherever the test is asked for and does not run."""
    coverage = assess(drawn)
    for row, column in np.argwhere(coverage.is_state(*NOT_ON_SITE)):
        cost = float(coverage.fix_cost[row, column])
        yield drawn.sites[row], drawn.tests[column].code, cost


@given(cases())
def test_a_fix_that_is_carried_out_makes_the_test_run_by_the_method_it_names(drawn: Case):
    coverage = assess(drawn)

    for place, test, cost in cells_to_fix(drawn):
        fix = coverage.cell(place.code, test).fix
        assert (fix is None) == (cost == np.inf)
        if fix:
            after = PlainCoverage(carried_out(drawn, place.code, fix.actions))
            [site_after] = [each for each in after.case.sites if each.code == place.code]
            [fixed] = [each for each in drawn.methods if each.code == fix.method]
            assert (after.runs(site_after, fixed), fix.cost) == (YES, cost)


def cheapest_by_trying(drawn: Case, place: Site, test: str) -> float:
    """The least cost over every subset of every action, whatever it is for."""
    plain = PlainCoverage(drawn)
    costs = {skill.code: skill.training_cost for skill in drawn.skills}
    possible = [("train", code, costs[code]) for code in costs if code not in place.skills]
    possible += [
        ("provide", item.code, item.cost[str(place.level)])
        for item in drawn.infrastructure
        if item.code not in place.infrastructure and str(place.level) in item.cost
    ]
    bundle_of = {each.model: each for each in drawn.bundles}
    possible += [
        ("buy", code, model.price + (bundle_of[code].cost if code in bundle_of else 0))
        for code, model in plain.models.items()
        if model.max_units != 0
    ]
    possible += [
        ("repair", code, plain.models[code].repair_cost)
        for code in plain.broken[place.code]
        if plain.models[code].repair_success
    ]
    working, least = plain.working[place.code], np.inf
    for chosen in chain.from_iterable(
        combinations(possible, size) for size in range(len(possible) + 1)
    ):
        cost = sum(price for _, _, price in chosen)
        if cost < least:
            plain.working[place.code] = working + [
                item for kind, item, _ in chosen if kind in ("buy", "repair")
            ]
            trained = [item for kind, item, _ in chosen if kind == "train"]
            provided = [item for kind, item, _ in chosen if kind == "provide"]
            after = place.model_copy(
                update={
                    "skills": (*place.skills, *trained),
                    "infrastructure": (*place.infrastructure, *provided),
                }
            )
            complete = all(
                set(after.skills).issuperset(bundle_of[item].skills)
                and set(after.infrastructure).issuperset(bundle_of[item].infrastructure)
                for kind, item, _ in chosen
                if kind == "buy" and item in bundle_of
            )
            if complete and any(plain.runs(after, each) == YES for each in plain.methods[test]):
                least = cost
    return least


@given(cases())
@settings(max_examples=50)
def test_no_subset_of_all_actions_is_a_cheaper_fix(drawn: Case):
    for place, test, cost in list(cells_to_fix(drawn))[:2]:
        assert cost == cheapest_by_trying(drawn, place, test)


@given(cases(), st.data())
def test_one_more_working_unit_makes_no_cell_worse_and_no_fix_dearer(drawn: Case, data):
    place = data.draw(st.sampled_from(drawn.sites)).code
    model = data.draw(st.sampled_from(drawn.device_models))
    bought = FixAction("buy", model.code, model.price)

    before, after = assess(drawn), assess(carried_out(drawn, place, (bought,)))

    asked = ~before.is_state(State.NOT_EXPECTED)
    assert STATES[:4] == (State.RUNS, State.REFERRED, State.UNKNOWN, State.BLOCKED)
    assert (after.state[asked] <= before.state[asked]).all()
    assert (after.fix_cost[asked] <= before.fix_cost[asked]).all()
