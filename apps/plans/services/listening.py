"""What a computation tells its run while it works, and what it hears from there."""

import logging
import time
from collections.abc import Callable
from typing import TypeVar

from django.db import DatabaseError, connection
from django.utils import timezone

from apps.plans.choices import RunState
from apps.plans.models import Run
from planner.engine.allocation import Progress

log = logging.getLogger(__name__)
Answered = TypeVar("Answered")

PHASES = {
    "preparing": "setting up the question",
    "today": "working out what can be done today",
    "bound": "proving what no plan can exceed",
    "first plans": "looking for first plans",
    "search": "looking for better plans",
    "reasons": "finding which limits exclude each other",
    "finishing": "settling the details",
}
SECONDS_BETWEEN_QUESTIONS = 0.5


class Wish:
    """Whether somebody asked the run to stop, or it was given up: asked now and then."""

    def __init__(self, run_id: int) -> None:
        self.seen = False
        self._run_id = run_id
        self._asked = float("-inf")

    def __call__(self) -> bool:
        now = time.monotonic()
        if not self.seen and now - self._asked >= SECONDS_BETWEEN_QUESTIONS:
            self._asked = now
            self.seen = bool(_carrying_on(self._is_wished))
        return self.seen

    def _is_wished(self) -> bool:
        running = Run.objects.filter(pk=self._run_id, state=RunState.RUNNING)
        return not running.filter(cancel_requested=False).exists()


def teller(run_id: int) -> Callable[[Progress], None]:
    """Progress of the optimiser as that of the run."""

    def tell_progress(progress: Progress) -> None:
        tell(
            run_id,
            phase=PHASES[progress.phase],
            objective=progress.objective,
            bound=progress.bound,
            gap=progress.gap,
        )

    return tell_progress


def tell(run_id: int, **values: object) -> None:
    """Let the run show ``values``, and that its worker lives."""
    running = Run.objects.filter(pk=run_id, state=RunState.RUNNING)
    _carrying_on(lambda: running.update(heartbeat_at=timezone.now(), **values))


def _carrying_on(ask: Callable[[], Answered]) -> Answered | None:
    """``ask()``; ``None`` where the database is away for a moment, which ends no long search."""
    try:
        return ask()
    except DatabaseError:
        log.warning("The database did not answer; the computation goes on", exc_info=True)
        if not connection.in_atomic_block:
            # What is broken stays broken; the next question opens another connection.
            connection.close()
        return None
