"""Computing a run with something else in the place of the optimiser."""

from collections.abc import Callable

import pytest

from apps.plans.models import Run
from apps.plans.services import compute_run, computing


def computed(run: Run) -> Run:
    """``run`` after it was computed."""
    compute_run(run.pk)
    run.refresh_from_db()
    return run


def instead_of_planning(monkeypatch: pytest.MonkeyPatch, then: Callable) -> None:
    """Have ``then(case, progress, cancelled)`` in place of the optimiser."""

    def plan(case, *, gap, seconds, progress, cancelled):
        return then(case, progress, cancelled)

    monkeypatch.setattr(computing, "plan", plan)
