"""One run of HiGHS, watched from outside.

Every run has a thread of its own with one solver thread. HiGHS fixes its number of threads
once for each calling thread, and answers later wishes with an error and an objective of 0;
a thread of our own keeps clear of whatever else the process solves. The caller's thread
stays free to report progress and to hear of cancellation.
"""

import threading
from typing import Any

import highspy
import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.backend.answer import (
    INFEASIBLE,
    LARGEST_VIOLATION,
    NO_BOUND,
    NO_POINT,
    Answer,
    Ending,
    SolverError,
    Tell,
)
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch

_POLL_SECONDS = 0.1
_SECONDS_TO_OBEY = 1.0  # after that a run that was told to stop is left to end by itself
_TOLERANCE = 1e-9
_STATUS = highspy.HighsModelStatus
EMPTY = {_STATUS.kInfeasible, _STATUS.kUnboundedOrInfeasible}  # columns are bounded
CUT_SHORT = {_STATUS.kInterrupt, _STATUS.kTimeLimit, _STATUS.kSolutionLimit}


class Run:
    """One run in its own thread, and the best point and bound it has told of."""

    def __init__(self, highs: Any, program: Program) -> None:
        self.highs = highs
        self._program = program
        self._stop = threading.Event()
        self._abandoned = False
        self._best: tuple[float, Floats | None] = (NO_POINT, None)
        self._bound = NO_BOUND
        self._failure: str | None = None

    def go(self, watch: Watch, seconds: float, tell: Tell | None) -> None:
        """Run until solved, out of time, or cancelled; the caller's thread only waits."""
        if watch.cancelled or seconds <= 0:
            self._abandoned = True
            return
        thread = threading.Thread(target=self._work, name="solver")
        deadline = watch.seconds + seconds
        thread.start()
        while thread.is_alive():
            thread.join(_POLL_SECONDS)
            watch.tick()
            if tell is not None:
                value, bound = self._best[0], self._bound
                tell(value if value > NO_POINT else None, bound if bound < NO_BOUND else None)
            if watch.cancelled or watch.seconds >= deadline:
                self._stop.set()
                thread.join(_SECONDS_TO_OBEY)
                self._abandoned = thread.is_alive()
                break
        if self._failure is not None:
            raise failure(self._failure)

    def _work(self) -> None:
        listeners = (
            (self.highs.cbSimplexInterrupt, self._obey),
            (self.highs.cbIpmInterrupt, self._obey),
            (self.highs.cbMipInterrupt, self._obey),
            (self.highs.cbMipInterrupt, self._note_bound),
            (self.highs.cbMipImprovingSolution, self._note_point),
        )
        for event, listener in listeners:
            event.subscribe(listener)
        try:
            if self.highs.run() == highspy.HighsStatus.kError:
                self._failure = "run() returned an error"
        finally:
            for event, listener in listeners:
                event.unsubscribe(listener)

    def _obey(self, event: Any) -> None:
        if self._stop.is_set():
            event.interrupt()

    def _note_bound(self, event: Any) -> None:
        bound = self._program.unit * event.data_out.mip_dual_bound
        if np.isfinite(bound):
            self._bound = min(self._bound, bound)

    def _note_point(self, event: Any) -> None:
        x = np.array(event.data_out.mip_solution)
        value = self._program.value(x)
        if value > self._best[0]:
            self._best = (value, x)

    def status(self) -> Any:
        """The solver's status; ``kInterrupt`` for a run that was left behind."""
        if self._abandoned:
            return _STATUS.kInterrupt
        status = self.highs.getModelStatus()
        if status not in EMPTY | CUT_SHORT | {_STATUS.kOptimal}:
            raise failure(self.highs.modelStatusToString(status))
        return status

    def answer(self) -> Answer:
        """The best point and the bound of a run with whole numbers."""
        status = self.status()
        if status in EMPTY:
            return INFEASIBLE
        value, x = self._best
        bound = self._bound
        if not self._abandoned:
            bound = min(bound, self._program.unit * self.highs.getInfo().mip_dual_bound)
            solution = self.highs.getSolution()
            if solution.value_valid:
                x = np.array(solution.col_value)
                value = self._program.value(x)
                claimed = self._program.unit * self.highs.getInfo().objective_function_value
                if abs(claimed - value) > LARGEST_VIOLATION * max(1.0, abs(value)):
                    raise failure(f"it claims {claimed:.10g} for a point of value {value:.10g}")
        ending: Ending = "stopped" if status in CUT_SHORT else "solved"
        return Answer(ending, x, value, max(bound, value))


def failure(what: str) -> SolverError:
    """What to raise where HiGHS fails."""
    return SolverError(
        f"HiGHS failed: {what}.",
        remedy="Solve with CBC instead, and report the case: its figures may lie too far apart.",
    )


class _Silent(highspy.Highs):
    """HiGHS that prints nothing, not even a greeting as soon as it is made."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the name is theirs
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]


def loaded(program: Program, *, relaxed: bool) -> Any:
    """HiGHS with ``program``, whole numbers left aside if ``relaxed``."""
    highs: Any = _Silent()  # type: ignore[no-untyped-call]
    for option, value in {
        "threads": 1,
        "random_seed": 0,
        "primal_feasibility_tolerance": _TOLERANCE,
        "mip_feasibility_tolerance": _TOLERANCE,
    }.items():
        highs.setOptionValue(option, value)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(program.gain), len(program.upper)
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = program.gain
    lp.col_lower_, lp.col_upper_ = program.least, program.most
    lp.row_lower_, lp.row_upper_ = program.lower, program.upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = program.start
    lp.a_matrix_.index_ = program.column
    lp.a_matrix_.value_ = program.factor
    if not relaxed:
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[whole] for whole in program.whole.astype(int).tolist()]
    if highs.passModel(lp) == highspy.HighsStatus.kError:
        raise failure("it refused the program")
    return highs
