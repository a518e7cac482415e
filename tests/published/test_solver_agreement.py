"""Two solvers of different make, HiGHS and CBC, find plans of the same worth."""

import pytest

from tests.independent.judged import GAP, best
from tests.independent.program import Program
from tests.independent.random_cases import crowded_case, random_case


@pytest.mark.parametrize("draw", [random_case, crowded_case], ids=lambda draw: draw.__name__)
@pytest.mark.parametrize("seed", range(40))
def test_highs_and_cbc_agree(seed, draw):
    case = draw(seed)

    assert best(case, solver="cbc") == pytest.approx(best(case, solver="highs"), rel=GAP, abs=GAP)


@pytest.mark.parametrize(("whole", "optimum"), [(False, 2.8), (True, 2.0)])
def test_the_solver_behind_the_second_opinion_solves_its_documentation_s_example(whole, optimum):
    # SciPy 1.17 documentation, scipy.optimize.milp: maximise x1 subject to -x0 + x1 <= 1,
    # 3 x0 + 2 x1 <= 12, 2 x0 + 3 x1 <= 12; 2.8 as a linear program, 2 in whole numbers.
    program = Program()
    program.add("x0", whole=whole)
    program.add("x1", value=1.0, whole=whole)
    program.at_most({"x0": -1, "x1": 1}, 1)
    program.at_most({"x0": 3, "x1": 2}, 12)
    program.at_most({"x0": 2, "x1": 3}, 12)

    found, _ = program.maximise()

    assert found == pytest.approx(optimum, abs=1e-9)
