"""HiGHS and CBC behind one door: same answers, honest bounds, no silent failures."""

import itertools

import highspy
import numpy as np
import pytest

from planner.engine.allocation import plan
from planner.engine.allocation.backend import SOLVERS, cbc
from planner.engine.allocation.backend.answer import SolverError
from planner.engine.allocation.builder import Builder
from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.outcome import planned
from planner.engine.allocation.program import Program, proven_bound
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import tight_model
from planner.engine.errors import EngineError
from tests.benchmarks.generator import generate_case
from tests.factories.results import three_sites
from tests.independent import statement
from tests.independent.random_cases import random_case

BOTH = pytest.mark.parametrize("solver", SOLVERS.values(), ids=SOLVERS)


def program(*rows, gain, most=1.0, whole=False, least=None) -> Program:
    """Columns from 0 to ``most``; rows are (factors, upper) or (factors, lower, "least")."""
    builder = Builder()
    columns = builder.add_columns(gain=gain, most=most, whole=whole)
    for factors, limit, *kind in rows:
        bound = {"lower": limit} if kind else {"upper": limit}
        builder.add_row(columns, factors, **bound)
    return builder.program()


KNAPSACK = program(([5, 4, 3], 8), gain=[10, 7, 5], whole=True)  # best: first and third


def solved(solver, given: Program, **options):
    return solver.maximise(given, Watch(60), **options)


@BOTH
def test_a_knapsack_is_filled_best(solver):
    answer = solved(solver, KNAPSACK)

    assert (answer.ending, answer.value, answer.bound) == ("solved", 15, 15)
    assert answer.x.tolist() == pytest.approx([1, 0, 1])


@BOTH
def test_without_whole_numbers_the_bound_is_the_optimum(solver):
    answer = solved(solver, program(([5, 4, 3], 8), gain=[10, 7, 5]))

    assert answer.value == pytest.approx(10 + 5.25)  # all of the first, three quarters of the next
    assert answer.bound == pytest.approx(answer.value)


@BOTH
@pytest.mark.parametrize("whole", [True, False])
def test_rows_that_exclude_each_other_are_infeasible(solver, whole):
    answer = solved(solver, program(([2, 2], 1), ([2, 2], 3, "least"), gain=[1, 1], whole=whole))

    assert (answer.ending, answer.x) == ("infeasible", None)


@BOTH
def test_rows_that_only_whole_numbers_cannot_keep_are_infeasible(solver):
    """1/4 ≤ x + y ≤ 3/4: broken numbers keep it, whole ones do not."""
    between = program(([1, 1], 0.75), ([1, 1], 0.25, "least"), gain=[1, 1], whole=True)

    assert solved(solver, between).ending == "infeasible"


@BOTH
@pytest.mark.parametrize(("lower", "ending"), [(0, "solved"), (1, "infeasible")])
def test_a_program_without_columns_is_held_against_its_rows(solver, lower, ending):
    builder = Builder()
    builder.add_row(np.zeros(0, dtype=np.int64), [], lower=lower)

    assert solved(solver, builder.program()).ending == ending


def test_a_first_plan_does_not_keep_highs_from_the_best():
    """HiGHS 1.16, presolving, takes this case's first plan for better than it is: it stops there,
    at 1124.57, claiming 1232.57. The optimum is that of the plain statement by another solver."""
    given = random_case(479)

    answer = plan(given, gap=0)

    assert answer.objective == pytest.approx(statement.optimum(given))
    assert answer.solver.startswith("HiGHS")


@pytest.mark.parametrize("seed", range(3))
def test_both_solvers_find_plans_of_the_same_worth(seed):
    given = generate_case(sites=5, tests=12, seed=seed, hubs_per_site=1)

    worth = [plan(given, gap=0, solver=name).objective for name in SOLVERS]

    assert worth[0] == pytest.approx(worth[1], rel=1e-6)


def test_threads_that_others_asked_of_highs_do_not_matter():
    """HiGHS fixes its threads by the first wish; a later one made it answer 0, silently."""
    other = highspy.Highs()
    other.setOptionValue("threads", 2)
    other.setOptionValue("parallel", "on")
    variables = [other.addVariable(0, 1, obj=-1) for _ in range(3)]
    other.addConstr(sum(variables[1:], variables[0]) <= 2)
    other.run()

    assert plan(three_sites(), gap=0, solver="highs").objective == pytest.approx(10_525)


def test_nothing_is_printed(capfd):
    plan(three_sites())
    plan(three_sites(), solver="cbc")

    assert capfd.readouterr() == ("", "")


@BOTH
def test_a_point_that_breaks_the_program_is_refused(solver, monkeypatch):
    monkeypatch.setattr(Program, "violation", lambda *_: 1e-5)

    with pytest.raises(SolverError, match="the point it found breaks the program"):
        solved(solver, KNAPSACK)


@pytest.mark.parametrize(
    ("x", "violation"),
    [([1, 0, 1], 0), ([1, 1, 0], 0.2), ([0.7, 0, 0], 0.3), ([0, 0, 1.5], 0.5), ([-2, 0, 0], 2)],
)
def test_a_violation_is_the_worst_break_of_a_row_a_bound_or_a_whole_number(x, violation):
    """The row 5a + 4b + 3c ≤ 8 is kept as a + 0.8b + 0.6c ≤ 1.6."""
    assert KNAPSACK.violation(np.array(x, dtype=float)) == pytest.approx(violation)


def test_a_row_that_nothing_can_break_is_left_out():
    kept = program(([1, 1], 1), ([1, 1], 2), ([1, 1], 0, "least"), gain=[1, 1])

    assert kept.size == (1, 2, 2)


@pytest.mark.parametrize("prices", [[0.0], [1.0], [2.0], [5.0], [-3.0]])
def test_any_prices_prove_a_bound(prices):
    """Scaled row a + 0.8b + 0.6c ≤ 1.6, gains 1, 0.7 and 0.5 of 10; the optimum is 15.25."""
    bound = proven_bound(program(([5, 4, 3], 8), gain=[10, 7, 5]), np.array(prices))

    assert bound >= 15.25


def test_the_right_prices_prove_the_optimum():
    assert proven_bound(
        program(([5, 4, 3], 8), gain=[10, 7, 5]), np.array([0.875])
    ) == pytest.approx(15.25)


def test_a_bound_below_the_objective_is_reported_as_a_mistake():
    instance = instance_of(three_sites())
    shares = np.zeros((len(instance.places.at), len(instance.catalogue.methods)))
    shares[0, 0] = 1.0  # 900 tests of worth 0.97 at Ashbrook

    with pytest.raises(EngineError, match=r"The bound 872\.9 is below the objective 873 of a plan"):
        planned(
            three_sites(),
            instance,
            np.zeros(instance.places.price.shape, dtype=np.int64),
            np.zeros(0, dtype=np.int64),
            shares,
            bound=872.9,
            asked_gap=0,
            before=0,
            solver="none",
            seconds=0,
        )


@BOTH
def test_a_run_that_is_told_to_stop_stops(solver):
    """Both take seconds to close the gap here; they are told to stop at the sixth question."""
    model = tight_model(instance_of(generate_case(40, 40, seed=2, hubs_per_site=2)))
    asked = itertools.count()

    answer = solved_by(solver, model.program, Watch(600, cancelled=lambda: next(asked) >= 5))

    assert answer.ending == "stopped"
    assert answer.bound >= answer.value


def solved_by(solver, given: Program, watch: Watch):
    return solver.maximise(given, watch, gap=0)


def test_the_log_of_cbc_tells_the_best_value_and_bound_so_far():
    log = (
        "Cbc0010I After 0 nodes, 1 on tree, 1e+50 best solution, best possible -48.3 (0.1 s)\n"
        "Cbc0010I After 9 nodes, 2 on tree, -47.5 best solution, best possible -48 (5.2 s)\n"
    )

    assert cbc.told_by(log) == (47.5, 48)
    assert cbc.told_by(log.splitlines()[0]) == (None, 48.3)
    assert cbc.told_by("") == (None, None)
