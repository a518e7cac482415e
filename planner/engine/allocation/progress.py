"""What a run tells while it works, and how it is told to stop."""

import math
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

Phase = Literal["preparing", "today", "bound", "first plans", "search", "reasons", "finishing"]

_SECONDS_BETWEEN_REPORTS = 0.5
_SECONDS_BETWEEN_QUESTIONS = 0.1


@dataclass(frozen=True)
class Progress:
    """How far a run has come: the best plan so far, and what no plan can exceed.

    ``gap`` is (bound − objective) / |objective|; what is not known yet is ``None``.
    """

    phase: Phase
    seconds: float
    objective: float | None
    bound: float | None
    gap: float | None


class Watch:
    """The clock of a run: reports progress, asks about cancellation, knows the time left."""

    def __init__(
        self,
        seconds: float,
        progress: Callable[[Progress], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> None:
        self._start = time.monotonic()
        self._allowed = seconds
        self._progress = progress
        self._ask = cancelled
        self._asked = self._reported = float("-inf")
        self._cancelled = self._is_aside = False
        self._phase: Phase = "preparing"
        self._objective: float | None = None
        self._bound: float | None = None

    @property
    def seconds(self) -> float:
        """Seconds since the start."""
        return time.monotonic() - self._start

    @property
    def left(self) -> float:
        """Seconds that are left; 0 when time is up or the run is cancelled."""
        return 0.0 if self.cancelled else max(0.0, self._allowed - self.seconds)

    @property
    def cancelled(self) -> bool:
        """Somebody wants the run to end now."""
        if self._ask is not None and not self._cancelled:
            now = time.monotonic()
            if now - self._asked >= _SECONDS_BETWEEN_QUESTIONS:
                self._asked = now
                self._cancelled = self._ask()
        return self._cancelled

    @contextmanager
    def aside(self, share: float) -> Iterator[None]:
        """For what is sought on the way: at most this ``share`` of the time that is left, and
        plans and bounds that are none of the run's, so they are not told."""
        allowed = self._allowed
        self._allowed = self.seconds + share * self.left
        self._is_aside = True
        try:
            yield
        finally:
            self._allowed, self._is_aside = allowed, False

    def enter(self, phase: Phase) -> None:
        """A new phase begins."""
        self._phase = phase
        self._report()

    def saw(self, objective: float | None, bound: float | None) -> None:
        """A plan of value ``objective``, or a proof that none exceeds ``bound``."""
        if self._is_aside:
            return
        if objective is not None and (self._objective is None or objective > self._objective):
            self._objective = objective
        if bound is not None and (self._bound is None or bound < self._bound):
            self._bound = bound

    def tick(self) -> None:
        """Report if the last report is old; to be called several times a second."""
        if time.monotonic() - self._reported >= _SECONDS_BETWEEN_REPORTS:
            self._report()

    def _report(self) -> None:
        if self._progress is None:
            return
        self._reported = time.monotonic()
        gap = None
        if self._objective is not None and self._bound is not None:
            gap = gap_between(self._objective, self._bound)
        self._progress(Progress(self._phase, self.seconds, self._objective, self._bound, gap))


def gap_at_most(gap: float, places: int = 4) -> float:
    """``gap`` rounded up to ``places`` decimals, for people to read.

    Rounded to the nearest it could claim more than was proven, down to "0.0 %".
    """
    scale = 10.0**places
    return math.ceil(gap * scale - 1e-9) / scale


def gap_between(objective: float, bound: float) -> float:
    """(bound − objective) / max(|objective|, 1e-9), never below 0."""
    return max(0.0, bound - objective) / max(abs(objective), 1e-9)
