"""What the district can do today: the judge's bracket closes on what a solver finds."""

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.engine.allocation.verify import before
from planner.engine.allocation.verify.before import bracket
from planner.engine.allocation.verify.facts import facts_of, standing
from planner.engine.allocation.verify.service import RECURRENT, service
from planner.engine.allocation.verify.simplex import maximise
from planner.engine.case import Case
from tests.factories import cases
from tests.independent import statement
from tests.independent.random_cases import random_case


def today(case: Case) -> before.Bracket:
    facts = facts_of(case)
    return bracket(facts, standing(facts, ()), [])


@pytest.mark.parametrize("seed", range(200))
def test_the_bracket_closes_on_the_optimum_of_the_plain_statement(seed):
    case = random_case(seed)
    optimum = pytest.approx(statement.optimum_before(case), rel=1e-6, abs=1e-6)

    found = today(case)

    assert (found.least, found.most) == (optimum, optimum)


@pytest.mark.parametrize("seed", range(40))
def test_without_a_solver_the_optimum_still_lies_within(seed, monkeypatch):
    monkeypatch.setattr(before, "_LARGEST_TABLE", 0)
    case = random_case(seed)

    found = today(case)

    optimum = statement.optimum_before(case)
    assert found.least <= optimum * (1 + 1e-9)
    assert found.most >= optimum * (1 - 1e-9)


def scarce_money() -> Case:
    """100 tests are asked for at 2 apiece, or at 1 with half the sensitivity; 150 to spend."""
    return cases.case(
        tests=[cases.lab_test("pcv")],
        methods=[
            cases.method("good", "pcv", sensitivity=1, consumable_cost=2),
            cases.method("rough", "pcv", sensitivity=0.5, consumable_cost=1),
        ],
        sites=[cases.site(demand={"pcv": 100})],
        limits=cases.limits(recurrent=150),
    )


def test_at_any_prices_the_ceiling_is_not_below_what_is_possible():
    case = scarce_money()
    facts = facts_of(case)
    whole = service(facts, standing(facts, ()))

    assert whole.ceiling({}) == 100  # the good way for all, as if money had no end
    assert whole.ceiling({RECURRENT: 0.5}) == 75  # 150 × 0.5, and nothing beyond
    assert whole.ceiling({RECURRENT: 1.0}) == 150
    assert today(case).least == pytest.approx(75)


def chain(*hours_per_year: float) -> Case:
    """Units a, b, c of the given hours; tests "ab" and "bc" may use the two in their name."""
    specs = {"a": ["ab"], "b": ["ab", "bc"], "c": ["bc"]}
    return cases.case(
        device_models=[
            cases.device_model(code, cases.serves("reader", reads=reads), hours_per_year=hours)
            for (code, reads), hours in zip(specs.items(), hours_per_year, strict=True)
        ],
        tests=[cases.lab_test("ab"), cases.lab_test("bc")],
        methods=[
            cases.method(test, test, cases.need("reader", reads={"has": [test]}, hours=1))
            for test in ("ab", "bc")
        ],
        sites=[cases.site(demand={"ab": 100, "bc": 100})],
        stock=[cases.stock("hill", code, working=1) for code in specs],
    )


@pytest.mark.parametrize(
    ("hours_per_year", "worth"),
    [((50, 60, 50), 160), ((90, 5, 200), 195), ((0, 90, 0), 90), ((100, 50, 100), 200)],
)
def test_hours_of_units_in_a_chain_are_limited_together(hours_per_year, worth):
    found = today(chain(*hours_per_year))

    assert (found.least, found.most) == (pytest.approx(worth), pytest.approx(worth))


def test_limits_that_the_whole_demand_fits_are_left_out():
    case = scarce_money()
    roomy = case.model_copy(update={"limits": cases.limits(recurrent=200)})
    facts = facts_of(roomy)

    assert service(facts, standing(facts, ())).capacity == {}


@pytest.mark.parametrize("seed", range(60))
def test_the_simplex_method_finds_what_a_solver_finds(seed):
    draw = np.random.default_rng(seed)
    rows, columns = draw.integers(1, 12), draw.integers(1, 20)
    usage = draw.integers(0, 4, (rows, columns)).astype(float)
    usage[0] = draw.integers(1, 4, columns)  # bounds every column
    limits = draw.integers(0, 9, rows).astype(float)
    values = draw.integers(-3, 9, columns).astype(float)

    amounts, prices = maximise(values, usage, limits)

    optimum = pytest.approx(-linprog(-values, A_ub=usage, b_ub=limits).fun, abs=1e-9)
    assert (values @ amounts, limits @ prices) == (optimum, optimum)
    assert (usage @ amounts <= limits + 1e-9).all()
    assert (prices @ usage >= values - 1e-9).all()
