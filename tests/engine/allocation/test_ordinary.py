"""Compiled groundwork against the groundwork itself: the same ways, items and rows of hours."""

from dataclasses import replace

import numpy as np
import pytest

from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.kernel import Blocks
from planner.engine.allocation.national.ordinary import ordinary
from planner.engine.allocation.national.packing import by_groundwork
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case
from tests.independent.judged import changed
from tests.independent.random_cases import crowded_case

EXACT = ("way_at", "first_at", "first", "method", "item_at", "action", "most", "row_at")


def unlinked(seed: int) -> Case:
    def without_links(document):
        document["links"] = []

    return changed(crowded_case(seed), without_links)


def rows(blocks: Blocks, site: int) -> list[list[float]]:
    """Of each row of hours at ``site``: room, use by way, added by item; in order of figures."""
    ways = int(np.diff(blocks.way_at)[site])
    items = int(np.diff(blocks.item_at)[site])
    count = int(np.diff(blocks.row_at)[site])
    room = blocks.room[blocks.row_at[site] :][:count, None]
    use = blocks.use[blocks.use_at[site] :][: count * ways].reshape(count, ways)
    added = blocks.added[blocks.added_at[site] :][: count * items].reshape(count, items)
    return sorted(np.round(np.hstack([room, use, added]), 9).tolist())


def assert_alike(case: Case) -> Blocks:
    instance = instance_of(case)
    slow, fast = by_groundwork(instance, lambda: None), ordinary(instance, lambda: None)
    assert fast is not None
    for name in EXACT:
        assert getattr(fast, name).tolist() == getattr(slow, name).tolist()
    for name in ("worth", "running", "price"):
        assert getattr(fast, name) == pytest.approx(getattr(slow, name), rel=1e-12)
    for site in range(len(case.sites)):
        assert rows(fast, site) == rows(slow, site)
    return fast


@pytest.mark.parametrize("seed", range(120))
def test_crooked_districts_are_prepared_alike(seed):
    assert_alike(unlinked(seed))


@pytest.mark.parametrize("seed", range(3))
def test_districts_of_many_models_are_prepared_alike(seed):
    blocks = assert_alike(generate_case(30, 60, seed))

    assert np.diff(blocks.row_at).max() > 1  # some sites are short of machine hours


def test_an_unsure_repair_is_left_to_the_groundwork():
    """Compiled code counts on whole units."""
    instance = instance_of(generate_case(3, 5, 1))
    presence = instance.catalogue.presence.copy()
    presence[instance.catalogue.models] = 0.5  # of the first model's repair

    unsure = replace(instance, catalogue=replace(instance.catalogue, presence=presence))

    assert ordinary(instance, lambda: None) is not None
    assert ordinary(unsure, lambda: None) is None
