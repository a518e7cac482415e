"""How a plan is finished: whatever a solver left idle or dear goes, nothing of worth does."""

import numpy as np
import pytest

from planner.engine.allocation.backend import SOLVERS
from planner.engine.allocation.finish import finished
from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import TightModel, tight_model
from planner.engine.case import Case
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    limits,
    method,
    need,
    serves,
    site,
    skill,
)

SPINNERS = [
    device_model("cheap", serves("centrifuge"), price=50, annual_cost=20, hours_per_year=60),
    device_model("dear", serves("centrifuge"), price=60, annual_cost=5, hours_per_year=60),
]


def hill(**given) -> Case:
    """100 tests of an hour each; either of two spinners has 60 hours."""
    lists = {
        "tests": [lab_test("pcv")],
        "methods": [method("spin", "pcv", need("centrifuge", hours=1))],
        "device_models": SPINNERS,
        "sites": [site(demand={"pcv": 100})],
        "limits": limits(capital=1000, max_units=9),
    }
    return case(**{**lists, **given})


def point(model: TightModel, shares: dict[str, float], **quantities: int) -> np.ndarray:
    """Shares by method and quantities of actions, at the only site."""
    x = np.zeros(len(model.program.gain))
    for number, code in enumerate(model.instance.catalogue.methods):
        x[model.columns.share[0, number]] = shares.get(code, 0.0)
    for number, action in enumerate(model.instance.catalogue.actions):
        if "_".join(action) in quantities:
            x[model.columns.action[0, number]] = quantities["_".join(action)]
    assert model.program.violation(x) == 0
    return x


def left(given: Case, *, proven: bool = False, cancelled: bool = False, **quantities: int):
    """What is left of a plan that spins all tests with these actions, and its worth."""
    model = tight_model(instance_of(given))
    watch = Watch(60, cancelled=lambda: cancelled)
    x = point(model, {"spin": 1.0}, **quantities)
    x = finished(model, x, SOLVERS["highs"], watch, proven=proven)
    done = model.columns.quantities(x)[0]
    actions = model.instance.catalogue.actions
    kept = {"_".join(actions[number]): int(done[number]) for number in np.flatnonzero(done)}
    return kept, model.program.value(x)


def test_of_three_units_the_two_stay_that_spend_least():
    assert left(hill(), buy_cheap=1, buy_dear=2) == ({"buy_dear": 2}, 100)


def test_a_unit_that_costs_nothing_is_not_bought_either_if_nothing_needs_it():
    """Only an earmark sets the two apart, so neither is left out from the start."""
    free = {"price": 0.0, "annual_cost": 0.0}
    tagged = {**free, "programmes": ("general",), "hours_per_year": 90.0}
    given = hill(
        device_models=[
            SPINNERS[0].model_copy(update={**free, "hours_per_year": 100.0}),
            SPINNERS[1].model_copy(update=tagged),
        ],
        limits=limits(earmarks={"general": 1}, max_units=9),
    )

    assert left(given, buy_cheap=1, buy_dear=2) == ({"buy_cheap": 1}, 100)


def test_nobody_is_trained_for_a_method_that_is_not_used():
    given = hill(
        methods=[
            method("spin", "pcv", need("centrifuge", hours=1), consumable_cost=1),
            method("look", "pcv", skills=["optics"], consumable_cost=2),
        ],
        skills=[skill("optics")],
    )

    assert left(given, buy_dear=2, train_optics=1) == ({"buy_dear": 2}, 100)


def test_a_proven_plan_is_changed_for_a_cheaper_one_of_equal_worth():
    """Two cheap ones cost 140 in the first year, two dear ones 130."""
    assert left(hill(), proven=True, buy_cheap=2) == ({"buy_dear": 2}, 100)


def test_an_unproven_plan_keeps_its_purchases():
    assert left(hill(), proven=False, buy_cheap=2) == ({"buy_cheap": 2}, 100)


@pytest.mark.parametrize("proven", [True, False])
def test_a_cancelled_run_reports_the_plan_as_it_is(proven):
    kept = {"buy_cheap": 2, "buy_dear": 1}

    assert left(hill(), proven=proven, cancelled=True, **kept) == (kept, 100)
