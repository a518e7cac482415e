import hashlib
import re

import numpy as np
import pytest

from planner.engine.errors import EngineError, InputError
from planner.engine.sampling import (
    Frame,
    acceptance,
    allocate,
    draw,
    kappa,
    lowest_passes,
    single_rule,
    zero_failure_size,
)

FRAME = Frame({f"item-{n:02}": "north" if n % 3 else "south" for n in range(30)})


def codes(drawn):
    return [each.code for each in drawn]


def test_the_digest_of_a_frame_can_be_worked_out_by_hand():
    frame = Frame({"b": "south", "a": "north"})

    assert frame.sha256 == hashlib.sha256(b"a\tnorth\nb\tsouth\n").hexdigest()


def test_the_same_frame_and_seed_draw_the_same_items_in_whatever_order_they_are_listed():
    turned = Frame(dict(reversed(FRAME.strata.items())))
    sizes = {"north": 5, "south": 3}

    assert draw(FRAME, sizes, seed="2026-Q4") == draw(turned, sizes, seed="2026-Q4")


def test_another_seed_or_another_frame_draws_others():
    sizes = {"north": 5, "south": 3}
    first = codes(draw(FRAME, sizes, seed="1"))
    grown = Frame({**FRAME.strata, "item-99": "west"})

    assert codes(draw(FRAME, sizes, seed="2")) != first
    assert codes(draw(grown, sizes, seed="1")) != first


def test_spare_items_follow_those_of_the_sample_and_are_marked():
    drawn = draw(FRAME, {"south": 3}, seed="1", spares=2)

    assert [(each.order, each.spare, each.stratum) for each in drawn] == [
        (1, False, "south"),
        (2, False, "south"),
        (3, False, "south"),
        (4, True, "south"),
        (5, True, "south"),
    ]
    assert len(set(codes(drawn))) == 5


def test_a_larger_sample_keeps_the_items_of_the_smaller_one():
    small, large = (codes(draw(FRAME, {"north": n}, seed="1", spares=0)) for n in (4, 9))

    assert large[:4] == small


def test_a_whole_stratum_can_be_drawn_and_has_no_spares():
    assert sorted(codes(draw(FRAME, {"south": 10}, seed="1"))) == sorted(
        code for code, stratum in FRAME.strata.items() if stratum == "south"
    )


def test_every_item_is_as_likely_as_any_other():
    """2000 draws of 6 from 30: each item about 400 times; bounds are five standard deviations."""
    frame = Frame(dict.fromkeys(FRAME.strata, "all"))
    times = dict.fromkeys(frame.strata, 0)
    for seed in range(2000):
        for code in codes(draw(frame, {"all": 6}, seed=str(seed), spares=0)):
            times[code] += 1

    assert all(310 < count < 490 for count in times.values())


def test_more_than_a_stratum_holds_is_refused_stratum_by_stratum():
    with pytest.raises(InputError) as refused:
        draw(FRAME, {"north": 3, "south": 11, "west": 1}, seed="1")

    assert refused.value.problems == (
        "south: the frame has 10 items, found a sample of 11",
        "west: the frame has 0 items, found a sample of 1",
    )


@pytest.mark.parametrize(
    ("sizes", "sample", "shares"),
    [
        ({"a": 50, "b": 30, "c": 20}, 10, {"a": 5, "b": 3, "c": 2}),
        ({"a": 1, "b": 99}, 10, {"a": 1, "b": 9}),
        ({"a": 1000, "b": 1, "c": 1}, 3, {"a": 1, "b": 1, "c": 1}),
        ({"a": 2, "b": 2}, 4, {"a": 2, "b": 2}),
        ({"a": 10, "b": 10, "c": 10}, 4, {"a": 2, "b": 1, "c": 1}),
    ],
)
def test_a_sample_is_shared_in_proportion_and_every_stratum_gets_some(sizes, sample, shares):
    assert allocate(sizes, sample) == shares


@pytest.mark.parametrize("sample", [0, 31, 1])
def test_a_sample_that_cannot_be_shared_is_refused(sample):
    with pytest.raises(InputError, match="sampling plan"):
        allocate({"north": 20, "south": 10}, sample)


def test_a_lot_without_failures_is_always_accepted_and_one_of_failures_never():
    for options in ({}, {"lot": 40}, {"correlation": 0.3}, {"correlation": 1.0}):
        assert acceptance(10, 2, [0.0, 1.0], **options) == pytest.approx([1, 0])


def test_where_all_fail_together_one_item_says_as_much_as_twenty():
    assert acceptance([1, 20], 0, 0.3, correlation=1.0) == pytest.approx([0.7, 0.7])


def test_a_small_correlation_is_close_to_none():
    assert acceptance(19, 6, 0.4, correlation=1e-6) == pytest.approx(
        acceptance(19, 6, 0.4), abs=1e-4
    )


def test_checking_the_whole_lot_leaves_no_risk():
    assert single_rule(good=0.1, bad=0.2, lot=20, false_alarm=1e-9, missed=1e-9).sample <= 20
    assert acceptance(20, 2, [0.1, 0.15], lot=20) == pytest.approx([1, 0])


def test_clustered_failures_need_a_larger_sample():
    plain = single_rule(good=0.1, bad=0.4)
    clustered = single_rule(good=0.1, bad=0.4, correlation=0.05)

    assert clustered.sample > plain.sample
    assert clustered.false_alarm <= 0.1 >= clustered.missed


def test_risks_that_no_sample_can_keep_are_said_to_be_so():
    with pytest.raises(EngineError, match="No sample"):
        single_rule(good=0.2, bad=0.3, correlation=0.5)


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: acceptance(10, 1, 5), "share of failures: .*per cent"),
        (lambda: acceptance(0, 1, 0.1), "sample size: expected a number above 0"),
        (lambda: acceptance(50, 1, 0.1, lot=40), "the sample is larger than the lot of 40"),
        (lambda: acceptance(5, 1, 0.1, lot=40, correlation=0.1), "not both"),
        (lambda: single_rule(good=0.5, bad=0.2), "good below bad"),
        (lambda: single_rule(good=0.1, bad=0.2, missed=10), "per cent"),
        (lambda: lowest_passes(19, target=0.3), "more than the margin"),
        (lambda: lowest_passes(19, target=1.01), "share up to 1"),
        (lambda: zero_failure_size(good_share=1), "between 0 and 1"),
        (lambda: kappa([[1, 2]]), "as many rows as columns"),
        (lambda: kappa([[1, -2], [1, 1]]), "whole numbers"),
        (lambda: kappa([[0, 0], [0, 0]]), "at least one item"),
    ],
)
def test_impossible_figures_are_refused(work, says):
    with pytest.raises(InputError) as refused:
        work()

    assert re.search(says, refused.value.problems[0])


def test_kappa_is_not_known_where_both_always_say_the_same_one_thing():
    found = kappa([[7, 0], [0, 0]])

    assert (found.items, found.agreed) == (7, 1)
    assert np.isnan([found.value, found.low, found.high]).all()
