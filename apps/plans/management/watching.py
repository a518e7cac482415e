"""Watching a long run from a terminal: what it tells, and Ctrl-C as a request to end."""

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from planner.engine.allocation import Progress

SECONDS_BETWEEN_LINES = 5


def told_by(write: Callable[[str], object]) -> Callable[[Progress], None]:
    """Progress as lines: one when a phase begins, then one every few seconds."""
    phase, told = "", 0.0

    def tell(progress: Progress) -> None:
        nonlocal phase, told
        if progress.phase != phase or progress.seconds - told >= SECONDS_BETWEEN_LINES:
            phase, told = progress.phase, progress.seconds
            write(f"{progress.seconds:6.1f} s  {phase}{_figures(progress)}")

    return tell


def _figures(progress: Progress) -> str:
    text = ""
    if progress.objective is not None:
        text += f", plan of {progress.objective:,.1f}"
    if progress.bound is not None:
        text += f", none exceeds {progress.bound:,.1f}"
    if progress.gap is not None:
        text += f", gap {progress.gap:.2%}"
    return text


@contextmanager
def interruptible() -> Iterator[Callable[[], bool]]:
    """While this lasts, Ctrl-C is a question's answer; then it is ``KeyboardInterrupt``.

    A solver works in a thread that an exception in ours would not reach: Python would wait
    for it to finish before it ends. So the run is told to stop, and stops. A second Ctrl-C
    raises at once.
    """
    if threading.current_thread() is not threading.main_thread():
        yield lambda: False  # signals reach the main thread only
        return
    stop = threading.Event()

    def note(*_: object) -> None:
        stop.set()
        signal.signal(signal.SIGINT, before)

    before = signal.signal(signal.SIGINT, note)
    try:
        yield stop.is_set
    finally:
        signal.signal(signal.SIGINT, before)
        if stop.is_set():
            raise KeyboardInterrupt
