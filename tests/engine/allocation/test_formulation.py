"""The statement in PuLP: its text for the example, and its optimum against the tight program."""

from pathlib import Path

import pulp
import pytest
from pulp.apis.coin_api import COIN_CMD, pulp_cbc_path

from planner.engine.allocation import funds, hours, plan
from planner.engine.allocation.formulation import stated
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.factories.cases import case, device_model, lab_test, limits, method, need, serves, site
from tests.factories.results import three_sites
from tests.independent.random_cases import random_case

GOLDEN = Path(__file__).parents[2] / "golden"
SLACK = 1e-6


def plain_optimum(given: Case) -> float | None:
    """The optimum of the statement, by CBC; ``None`` if no plan keeps the limits."""
    problem = stated(given).problem
    problem.solve(COIN_CMD(path=pulp_cbc_path, msg=False, gapRel=0))
    if problem.status == pulp.LpStatusInfeasible:
        return None
    assert problem.sol_status == pulp.LpSolutionOptimal
    return pulp.value(problem.objective)


def assert_same_optimum(given: Case) -> None:
    answer = plan(given, gap=0)
    expected = plain_optimum(given)
    if expected is None:
        assert answer.status == "infeasible"
    else:
        assert answer.status == "optimal"
        assert answer.objective == pytest.approx(expected, rel=SLACK, abs=SLACK)
        assert answer.bound == pytest.approx(expected, rel=SLACK, abs=SLACK)


def test_the_statement_of_the_example_reads_as_reviewed(tmp_path):
    """Changed on purpose? Write the new text to ``tests/golden`` and let it be reviewed."""
    stated(three_sites()).problem.writeLP(str(tmp_path / "three-sites.lp"))

    written = (tmp_path / "three-sites.lp").read_text(encoding="utf-8")

    assert written == (GOLDEN / "three-sites.lp").read_text(encoding="utf-8")


def test_the_order_of_the_lists_makes_no_difference_to_the_statement(tmp_path):
    given = three_sites()
    backwards = given.model_copy(
        update={name: getattr(given, name)[::-1] for name in ("sites", "methods", "links")}
    )

    for name, each in (("forwards", given), ("backwards", backwards)):
        stated(each).problem.writeLP(str(tmp_path / name))

    assert (tmp_path / "forwards").read_text() == (tmp_path / "backwards").read_text()


def test_the_statement_of_the_example_has_the_known_optimum():
    assert plain_optimum(three_sites()) == pytest.approx(10_525.0)


def test_codes_that_differ_in_a_hyphen_only_are_two_sites_in_the_statement():
    given = case(
        tests=[lab_test("pcv")],
        methods=[method("spin", "pcv", need("centrifuge"))],
        device_models=[device_model("spinner", serves("centrifuge"), price=50)],
        sites=[site("hill-top", demand={"pcv": 100}), site("hill_top", demand={"pcv": 40})],
        limits=limits(capital=100),
    )

    assert plain_optimum(given) == 140


@pytest.mark.parametrize("seed", range(1000, 1050))
def test_the_tight_program_has_the_optimum_of_the_statement(seed):
    assert_same_optimum(random_case(seed))


@pytest.mark.parametrize("seed", range(8))
def test_the_tight_program_has_the_optimum_of_the_statement_in_a_small_district(seed):
    """Chains of grades, two-class models, three earmarks, repairs; every other one linked."""
    given = generate_case(sites=4, tests=10, seed=seed, hubs_per_site=2 * (seed % 2))

    assert_same_optimum(given)


@pytest.mark.parametrize("seed", range(4))
def test_machine_hours_split_by_variables_have_the_same_optimum(seed, monkeypatch):
    monkeypatch.setattr(hours, "MOST_ROWS", 0)

    assert_same_optimum(generate_case(sites=3, tests=10, seed=seed, hubs_per_site=1))


@pytest.mark.parametrize("seed", range(4))
def test_earmarks_drawn_by_variables_have_the_same_optimum(seed, monkeypatch):
    monkeypatch.setattr(funds, "MOST_ROWS", 0)

    assert_same_optimum(generate_case(sites=3, tests=10, seed=seed))
