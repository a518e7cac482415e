"""Watching a run from a terminal: its lines, and Ctrl-C."""

import signal
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from apps.plans.management.watching import interruptible, told_by
from planner.engine.allocation import Progress


@pytest.fixture(autouse=True)
def _heard():
    """Ctrl-C is heard, also where whoever started the tests had it ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def progress(phase: str, seconds: float, objective=None, bound=None, gap=None) -> Progress:
    return Progress(phase, seconds, objective, bound, gap)


def test_each_phase_has_a_line_and_then_one_every_five_seconds():
    lines: list[str] = []
    tell = told_by(lines.append)

    tell(progress("bound", 0.1))
    tell(progress("bound", 5.0))
    tell(progress("bound", 5.1, bound=1200))
    tell(progress("search", 6.0, 1000, 1200, 0.2))
    tell(progress("search", 10.9, 1000, 1200, 0.2))
    tell(progress("search", 11.0, 1100, 1200, 0.0909))

    assert lines == [
        "   0.1 s  bound",
        "   5.1 s  bound, none exceeds 1,200.0",
        "   6.0 s  search, plan of 1,000.0, none exceeds 1,200.0, gap 20.00%",
        "  11.0 s  search, plan of 1,100.0, none exceeds 1,200.0, gap 9.09%",
    ]


def interruptibly(work: Callable[[Callable[[], bool]], object]) -> None:
    with interruptible() as interrupted:
        work(interrupted)


def test_ctrl_c_is_first_a_request_and_at_the_end_an_interruption():
    seen = []

    def work(interrupted):
        seen.append(interrupted())
        signal.raise_signal(signal.SIGINT)
        seen.append(interrupted())

    with pytest.raises(KeyboardInterrupt):
        interruptibly(work)

    assert seen == [False, True]


def test_a_second_ctrl_c_interrupts_at_once():
    reached = []

    def work(interrupted):
        signal.raise_signal(signal.SIGINT)
        reached.append("after the first")
        signal.raise_signal(signal.SIGINT)
        reached.append("after the second")

    with pytest.raises(KeyboardInterrupt):
        interruptibly(work)

    assert reached == ["after the first"]


def test_an_interrupted_run_that_fails_is_an_interruption_and_no_failure():
    def work(interrupted):
        signal.raise_signal(signal.SIGINT)
        raise RuntimeError("cancelled before a plan was found")

    with pytest.raises(KeyboardInterrupt):
        interruptibly(work)


def test_afterwards_ctrl_c_means_what_it_meant_before():
    before = signal.getsignal(signal.SIGINT)

    with interruptible() as interrupted:
        assert signal.getsignal(signal.SIGINT) is not before
        assert not interrupted()

    assert signal.getsignal(signal.SIGINT) is before


def test_in_another_thread_signals_are_left_alone():
    before = signal.getsignal(signal.SIGINT)

    def handlers():
        with interruptible() as interrupted:
            return signal.getsignal(signal.SIGINT), interrupted()

    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(handlers).result() == (before, False)
