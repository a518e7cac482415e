"""The compiled simplex method of a site's hours against SciPy's linear programs (HiGHS)."""

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.engine.allocation.kernel.hours import serve

CLOSE = 1e-8


def drawn(seed: int):
    """A few tests with one to three ways each, and rows of hours that are short or not."""
    draw = np.random.default_rng(seed)
    counts = draw.integers(1, 4, size=draw.integers(1, 25))
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    ways, rows = int(first[-1]), int(draw.integers(1, 7))
    gain = draw.uniform(-5, 100, ways)
    use = draw.uniform(0, 1, (rows, ways)) * (draw.random((rows, ways)) < 0.6)
    room = draw.choice([0.0, 0.2, 1.0], rows) * use.sum(axis=1) * draw.uniform(0, 0.6, rows)
    return gain, first, draw.random(ways) < 0.9, use, room


def by_scipy(gain, first, ready, use, room) -> float:
    tests = np.repeat(np.eye(len(first) - 1), np.diff(first), axis=1)
    answer = linprog(
        -gain,
        A_ub=np.vstack([use, tests]),
        b_ub=np.concatenate([room, np.ones(len(tests))]),
        bounds=[(0, 1 if each else 0) for each in ready],
    )
    assert answer.status == 0
    return -answer.fun


@pytest.mark.parametrize("seed", range(150))
def test_the_best_use_of_hours_is_found_and_proven(seed):
    gain, first, ready, use, room = drawn(seed)
    share, rent = np.zeros(len(gain)), np.zeros(len(room))

    value, bound = serve(gain, first, ready, use, room, share, rent)

    best = by_scipy(gain, first, ready, use, room)
    assert value == pytest.approx(best, rel=CLOSE, abs=CLOSE)
    assert bound == pytest.approx(best, rel=CLOSE, abs=CLOSE)
    assert share @ gain == pytest.approx(value, rel=CLOSE, abs=CLOSE)
    assert (use @ share <= room + CLOSE).all()
    assert (share[~ready] == 0).all()
    assert (rent >= 0).all()


def test_hours_are_short_in_most_of_these_cases():
    """Else the simplex method would hardly be asked."""
    short = 0
    for seed in range(150):
        gain, first, ready, use, room = drawn(seed)
        share, rent = np.zeros(len(gain)), np.zeros(len(room))
        serve(gain, first, ready, use, room, share, rent)
        short += bool(rent.max() > 0)

    assert short > 100
