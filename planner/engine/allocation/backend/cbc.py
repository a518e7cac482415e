"""CBC, as PuLP ships it: the fallback where HiGHS is missing or fails, and a second opinion.

PuLP states the program, writes it and reads the answer; the process is started here, since
PuLP's own call can neither be watched nor ended early.
"""

import re
import signal
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pulp
from pulp.apis.coin_api import COIN_CMD, pulp_cbc_path

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.backend.answer import (
    INFEASIBLE,
    LARGEST_VIOLATION,
    NO_BOUND,
    NO_POINT,
    Answer,
    SolverError,
    Tell,
    without_columns,
)
from planner.engine.allocation.program import Program, proven_bound
from planner.engine.allocation.progress import Watch

NAME = "CBC, shipped with PuLP"

_POLL_SECONDS = 0.1
_SECONDS_TO_OBEY = 1.0
# CBC prints bounds with three decimals and stops short of gains below about 1e-5.
_GAIN_SCALE = 1000.0
_HALF_A_DECIMAL = 0.0005
_NOTHING_FOUND = 1e40
_FOUND = re.compile(r"(\S+) best solution, best possible (\S+) \(")
_UPPER_BOUND = re.compile(r"^Upper bound:\s+(\S+)", re.MULTILINE)


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

    ``nodes`` limits the search tree, ``start`` is ignored, ``tell`` hears of better values
    and bounds. Raises ``SolverError``.
    """
    if len(program.gain) == 0:
        return without_columns(program)
    problem, columns = _stated(program)
    names = [column.name for column in columns]
    allowed = watch.left if seconds is None else seconds
    options = _options(gap, allowed, nodes)
    # CBC's preprocessing can lose the feasibility of a point on the way back.
    for further in ([], ["-preprocess", "off", "-presolve", "off"]):
        with tempfile.TemporaryDirectory(prefix="cbc-") as folder:
            run = _Run(Path(folder), program, problem)
            run.go([*options, *further], watch, allowed, tell)
            answer = run.answer(names)
        if answer.x is None or program.violation(answer.x) <= LARGEST_VIOLATION:
            return answer
    raise _error("the point it found breaks the program")


def _stated(program: Program) -> tuple[pulp.LpProblem, list[Any]]:
    """``program`` in PuLP, columns and rows named by position."""
    problem = pulp.LpProblem("allocation", pulp.LpMaximize)
    kinds = np.where(program.whole, pulp.LpInteger, pulp.LpContinuous).tolist()
    bounds = zip(program.least.tolist(), program.most.tolist(), kinds, strict=True)
    columns = [
        problem.add_variable(f"x{number}", least, most, kind)
        for number, (least, most, kind) in enumerate(bounds)
    ]
    gains = zip(columns, (_GAIN_SCALE * program.gain).tolist(), strict=True)
    problem.setObjective(pulp.LpAffineExpression(dict(gains)))
    members, factors = program.column.tolist(), program.factor.tolist()
    for number, (first, last) in enumerate(zip(program.start, program.start[1:], strict=False)):
        row = pulp.LpAffineExpression(
            {columns[members[entry]]: factors[entry] for entry in range(first, last)}
        )
        if np.isfinite(program.upper[number]):
            problem.addConstraint(row <= float(program.upper[number]), f"r{number}")
        if np.isfinite(program.lower[number]):
            problem.addConstraint(row >= float(program.lower[number]), f"l{number}")
    return problem, columns


def _options(gap: float, seconds: float, nodes: int | None) -> list[str]:
    options = ["-max", "-timeMode", "elapsed", "-sec", f"{max(seconds, 0.01):.2f}"]
    options += ["-ratio", repr(gap), "-threads", "1"]
    options += ["-primalTolerance", "1e-9", "-integerTolerance", "1e-9"]
    return options if nodes is None else [*options, "-maxNodes", str(nodes)]


class _Run:
    """One CBC process, its files, and what it wrote."""

    def __init__(self, folder: Path, program: Program, problem: pulp.LpProblem) -> None:
        self._program = program
        self._problem = problem
        self._mps, self._solution = folder / "program.mps", folder / "solution.txt"
        self._log = folder / "log.txt"
        self._names = problem.writeMPS(str(self._mps), rename=1)

    def go(self, options: list[str], watch: Watch, seconds: float, tell: Tell | None) -> None:
        """Run until solved, out of time or cancelled."""
        if watch.cancelled or seconds <= 0:
            return
        command = [pulp_cbc_path, str(self._mps), *options, "-solve"]
        command += ["-printingOptions", "all", "-solution", str(self._solution)]
        deadline = watch.seconds + seconds
        with self._log.open("w") as log:
            process = subprocess.Popen(command, stdout=log, stderr=log)  # noqa: S603
            while not _ended(process, _POLL_SECONDS):
                watch.tick()
                if tell is not None:
                    tell(*map(self._in_units, told_by(self._read_log())))
                if watch.cancelled or watch.seconds >= deadline + _SECONDS_TO_OBEY:
                    process.send_signal(signal.SIGINT)  # CBC then writes what it has
                    if not _ended(process, _SECONDS_TO_OBEY):
                        process.kill()
                        process.wait()
                        return
        if process.returncode != 0:
            raise _error(f"it ended with code {process.returncode}")

    def _read_log(self) -> str:
        return self._log.read_text(errors="replace")

    def _in_units(self, figure: float | None) -> float | None:
        return None if figure is None else figure * self._program.unit / _GAIN_SCALE

    def answer(self, names: list[str]) -> Answer:
        """The point that CBC wrote, its value, and the bound from its log."""
        if not self._solution.exists():
            return Answer("stopped", None, NO_POINT, NO_BOUND)
        solver = COIN_CMD(path=pulp_cbc_path, msg=False)
        columns, column_names, row_names, _ = self._names
        status, values, _, prices, _, ending = solver.readsol_MPS(
            str(self._solution), self._problem, columns, column_names, row_names
        )
        if status == pulp.LpStatusInfeasible:
            return INFEASIBLE
        if ending not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
            return Answer("stopped", None, NO_POINT, NO_BOUND)
        x = np.array([values[name] for name in names])
        solved = ending == pulp.LpSolutionOptimal
        value = self._program.value(x)
        bound = self._bound(value, prices, solved=solved)
        return Answer("solved" if solved else "stopped", x, value, max(value, bound))

    def _bound(self, value: float, prices: dict[str, float], *, solved: bool) -> float:
        if not self._program.whole.any():
            rows = range(len(self._program.upper))
            figures = np.array(
                [prices.get(f"r{row}", 0.0) + prices.get(f"l{row}", 0.0) for row in rows]
            )
            # Any prices prove a bound, so the sign that CBC gives them need not be known.
            signs = (figures / _GAIN_SCALE, -figures / _GAIN_SCALE)
            return min(proven_bound(self._program, sign) for sign in signs)
        stated = _UPPER_BOUND.search(self._read_log())
        if stated is not None:
            figure = float(stated.group(1)) + _HALF_A_DECIMAL
            return figure * self._program.unit / _GAIN_SCALE
        return value if solved else NO_BOUND  # no bound is printed once none is left above


def told_by(log: str) -> tuple[float | None, float | None]:
    """The best value and the bound that a log ends with, in CBC's units."""
    found = _FOUND.findall(log)
    if not found:
        return None, None
    value, bound = (-float(figure) for figure in found[-1])  # CBC minimises
    return (value if value > -_NOTHING_FOUND else None), bound


def _ended(process: subprocess.Popen[bytes], seconds: float) -> bool:
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        return False
    return True


def _error(what: str) -> SolverError:
    return SolverError(
        f"CBC failed: {what}.",
        remedy="Solve with HiGHS instead, and report the case.",
    )
