"""Knapsacks put as planning cases, against a published optimum and OR-tools."""

import random

import pytest
from ortools.algorithms.python import knapsack_solver
from ortools.sat.python import cp_model

from tests.independent.judged import GAP, best, judged_plan
from tests.independent.reductions import knapsack, multiple_choice_knapsack


def test_instance_p01_of_the_public_knapsack_set_reaches_309():
    # Set KNAPSACK_01 (Florida State University, J. Burkardt), instance P01: weights, profits,
    # capacity 165; optimum 309 with items 1, 2, 3, 4 and 6.
    weights = [23, 31, 29, 44, 53, 38, 63, 85, 89, 82]
    profits = [92, 57, 49, 68, 60, 43, 67, 84, 87, 72]

    answer = judged_plan(knapsack(weights, profits, 165))

    assert answer.objective == pytest.approx(309, rel=GAP)
    assert [action.item for action in answer.actions] == [f"item-{n}" for n in (0, 1, 2, 3, 5)]


@pytest.mark.parametrize("seed", range(20))
def test_random_knapsacks_reach_what_the_knapsack_solver_of_or_tools_reaches(seed):
    draw = random.Random(seed)
    costs = [draw.randint(5, 100) for _ in range(25)]
    profits = [cost + draw.randint(-4, 30) for cost in costs]
    capacity = sum(costs) // 3

    value = best(knapsack(costs, profits, capacity))

    assert value == pytest.approx(by_or_tools(costs, profits, capacity), rel=GAP)


@pytest.mark.parametrize("seed", range(20))
def test_random_multiple_choice_knapsacks_reach_what_cp_sat_reaches(seed):
    draw = random.Random(seed)
    groups = [
        [(draw.randint(5, 100), draw.randint(1, 1000)) for _ in range(draw.randint(1, 4))]
        for _ in range(12)
    ]
    capacity = draw.randint(50, 500)

    value = best(multiple_choice_knapsack(groups, capacity))

    assert value == pytest.approx(by_cp_sat(groups, capacity), rel=GAP)


def by_or_tools(costs: list[int], profits: list[int], capacity: int) -> int:
    kind = knapsack_solver.SolverType.KNAPSACK_DYNAMIC_PROGRAMMING_SOLVER
    solver = knapsack_solver.KnapsackSolver(kind, "knapsack")
    solver.init(profits, [costs], [capacity])
    return solver.solve()


def by_cp_sat(groups: list[list[tuple[int, int]]], capacity: int) -> float:
    model = cp_model.CpModel()
    chosen = [[model.new_bool_var("") for _ in group] for group in groups]
    for variables in chosen:
        model.add_at_most_one(variables)
    pairs = [
        (variable, cost, profit)
        for variables, group in zip(chosen, groups, strict=True)
        for variable, (cost, profit) in zip(variables, group, strict=True)
    ]
    model.add(sum(variable * cost for variable, cost, _ in pairs) <= capacity)
    model.maximize(sum(variable * profit for variable, _, profit in pairs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.objective_value
