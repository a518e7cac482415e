"""HiGHS, given arrays directly: what is solved most often goes the shortest way."""

from importlib.metadata import version

import highspy
import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.backend.answer import (
    INFEASIBLE,
    LARGEST_VIOLATION,
    NO_BOUND,
    NO_POINT,
    Answer,
    Tell,
    without_columns,
)
from planner.engine.allocation.backend.highs_run import CUT_SHORT, EMPTY, Run, failure, loaded
from planner.engine.allocation.program import Program, proven_bound
from planner.engine.allocation.progress import Watch

NAME = f"HiGHS {version('highspy')}"
_GAP_TO_NEGLECT = 1e-9  # absolute, where the largest gain is 1


def maximise(
    program: Program,
    watch: Watch,
    *,
    gap: float = 0.0,
    seconds: float | None = None,
    nodes: int | None = None,
    start: Floats | None = None,
    tell: Tell | None = None,
) -> Answer:
    """Solve ``program`` to a relative ``gap``, for at most ``seconds`` (else as ``watch`` has).

    ``nodes`` limits the search tree, ``start`` is a point to begin from, ``tell`` hears of
    better points and bounds. Raises ``SolverError``.
    """
    if not program.whole.any():
        relaxation = Relaxation(program)
        return relaxation.solve(watch, seconds=seconds)
    run = Run(loaded(program, relaxed=False), program)
    run.highs.setOptionValue("mip_rel_gap", gap)
    run.highs.setOptionValue("mip_abs_gap", _GAP_TO_NEGLECT)
    if nodes is not None:
        run.highs.setOptionValue("mip_max_nodes", nodes)
    if start is not None:
        # HiGHS 1.16 may carry a start into the presolved program with a wrong value, and
        # then prunes what is better (seen: 0.913 for 0.833). Little is lost without presolve.
        run.highs.setOptionValue("presolve", "off")
        solution = highspy.HighsSolution()
        solution.col_value = start.tolist()
        run.highs.setSolution(solution)
    allowed = watch.left if seconds is None else seconds
    run.highs.setOptionValue("time_limit", allowed)
    run.go(watch, allowed, tell)
    answer = run.answer()
    if answer.x is not None and program.violation(answer.x) > LARGEST_VIOLATION:
        raise failure("the point it found breaks the program")
    return answer


class Relaxation:
    """The program without whole numbers, solved again and again as column bounds move.

    Each time HiGHS starts from the last basis. ``prices`` are those of the rows after the
    last solve.
    """

    def __init__(self, program: Program) -> None:
        self._program = program
        self._highs = loaded(program, relaxed=True)
        self._least, self._most = program.least, program.most
        self.prices: Floats = np.zeros(len(program.upper))

    def solve(
        self,
        watch: Watch,
        *,
        least: Floats | None = None,
        most: Floats | None = None,
        seconds: float | None = None,
    ) -> Answer:
        """The optimum within the given column bounds (else those of the program)."""
        if len(self._program.gain) == 0:
            return without_columns(self._program)
        self._move(
            self._program.least if least is None else least,
            self._program.most if most is None else most,
        )
        run = Run(self._highs, self._program)
        run.go(watch, watch.left if seconds is None else seconds, None)
        status = run.status()
        if status in EMPTY:
            return INFEASIBLE
        if status in CUT_SHORT:
            return Answer("stopped", None, NO_POINT, NO_BOUND)
        solution = self._highs.getSolution()
        self.prices = np.array(solution.row_dual)
        x = np.array(solution.col_value)
        moved = self._program.within(least=self._least, most=self._most)
        return Answer("solved", x, moved.value(x), proven_bound(moved, self.prices))

    def _move(self, least: Floats, most: Floats) -> None:
        changed = np.flatnonzero((least != self._least) | (most != self._most)).astype(np.int32)
        self._highs.changeColsBounds(len(changed), changed, least[changed], most[changed])
        self._least, self._most = least.copy(), most.copy()
