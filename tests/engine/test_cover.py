"""Weighted set cover, against a mixed-integer program."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from planner.engine.gaps.cover import Cover, cheapest_cover


@pytest.mark.parametrize(
    ("wanted", "offers", "cover"),
    [
        (0b11, [(0b01, 5.0), (0b10, 5.0), (0b11, 9.0)], Cover(9.0, 1, (2,))),
        (0b11, [(0b01, 4.0), (0b10, 4.0), (0b11, 9.0)], Cover(8.0, 2, (0, 1))),
        (0b11, [(0b01, 4.0), (0b10, 5.0), (0b11, 9.0)], Cover(9.0, 1, (2,))),
        (0b11, [(0b01, 4.0)], None),
        (0b0, [(0b01, 4.0)], Cover(0.0, 0, ())),
        (0b1, [(0b01, 4.0), (0b01, 4.0)], Cover(4.0, 1, (0,))),
        (0b111, [(0b011, 3.0), (0b110, 3.0), (0b001, 1.0), (0b100, 1.0)], Cover(4.0, 2, (0, 3))),
        (0b1, [], None),
    ],
)
def test_a_cover_is_the_cheapest_then_the_smallest_then_the_first(wanted, offers, cover):
    assert cheapest_cover(wanted, offers) == cover


@given(st.lists(st.tuples(st.integers(0, 63), st.integers(0, 9)), min_size=1, max_size=12))
def test_a_mixed_integer_program_finds_no_cheaper_cover(offers):
    """Weighted set cover as stated in any text on integer programming, by SciPy's HiGHS."""
    bits, costs = np.array(offers).T
    meets = (bits[None, :] >> np.arange(6)[:, None]) & 1
    reference = milp(
        costs,
        constraints=LinearConstraint(meets, lb=1),
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, 1),
    )

    found = cheapest_cover(63, offers)

    assert (found is not None) == reference.success
    if found:
        assert found.cost == pytest.approx(reference.fun)
        assert np.bitwise_or.reduce(bits[list(found.chosen)]) == 63
