"""Fixes where not every model may be bought, or only with what belongs to it."""

import pytest

from planner.engine.coverage import assess
from tests.engine.test_gaps import FINE, actions, lab, scope
from tests.factories.cases import bundle, site, stock


@pytest.mark.parametrize(
    ("max_units", "bought"), [(None, [("buy", "cheap", 10)]), (1, [("buy", "cheap", 10)]),
                              (0, [("buy", "dear", 30)])],
)  # fmt: skip
def test_a_model_of_which_no_unit_may_be_bought_is_no_fix_by_buying(max_units, bought):
    models = [scope("cheap", price=10, max_units=max_units), scope("dear", price=30)]

    assert actions(lab(FINE, models=models)) == bought


def test_a_broken_unit_of_a_model_that_is_never_bought_is_repaired():
    models = [scope("old", repair_cost=5, max_units=0)]

    built = lab(FINE, models=models, held=[stock("hill", "old", broken=1)])

    assert actions(built) == [("repair", "old", 5)]


def test_where_the_only_model_may_not_be_bought_there_is_no_fix_and_the_reason_says_so():
    built = lab(FINE, models=[scope("measured", max_units=0)])

    [way] = assess(built).cell("hill", "film").methods
    assert (way.fix, way.no_fix) == (
        None,
        "no device model that may be bought suits: microscope with na at least 1.25",
    )


@pytest.mark.parametrize(
    ("price", "bought"),
    [
        (190, [("buy", "plain", 190)]),
        (201, [("buy", "boxed", 15), ("train", "optics", 45), ("provide", "power", 140)]),
    ],
)
def test_a_model_in_a_bundle_costs_all_that_belongs_to_it(price, bought):
    boxed = bundle("boxed", skills=["optics"], infrastructure=["power"], cost=5)
    models = [scope("boxed", price=10), scope("plain", price=price)]

    built = lab(FINE, models=models, bundles=[boxed])

    assert actions(built) == bought
    assert assess(built).cell("hill", "film").fix.cost == min(price, 200)


def test_what_a_bundle_and_the_method_both_ask_for_is_paid_once():
    boxed = bundle("boxed", skills=["optics"])

    built = lab(FINE, models=[scope("boxed", price=10)], bundles=[boxed], skills=["optics"])

    assert actions(built) == [("buy", "boxed", 10), ("train", "optics", 45)]


def test_where_a_bundle_cannot_be_completed_there_is_no_fix_and_the_reason_says_so():
    boxed = bundle("boxed", infrastructure=["power"])
    beyond = site("hill", level=2, demand={"film": 1})

    built = lab(FINE, models=[scope("boxed")], bundles=[boxed], sites=[beyond])

    [way] = assess(built).cell("hill", "film").methods
    assert (way.fix, way.no_fix) == (None, "what its devices come with cannot be provided here")


def test_a_repair_needs_no_bundle():
    boxed = bundle("boxed", skills=["optics"])
    held = [stock("hill", "boxed", broken=1)]

    built = lab(FINE, models=[scope("boxed", price=10, repair_cost=20)], bundles=[boxed], held=held)

    assert actions(built) == [("repair", "boxed", 20)]
