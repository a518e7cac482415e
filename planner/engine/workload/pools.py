"""Machines that stand in for each other, so that no hour is counted for two tests.

A need may use the models that suit it; models that suit several needs are shared. Hours can
be shared out exactly if every pool, a union of overlapping sets of suiting models, has the
hours of all needs that only it can meet (Hall's condition, as in the allocation).
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.hall import overlapping_unions
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats

MOST_POOLS = 512


@dataclass(frozen=True)
class Pools:
    """``models`` (P, D): what belongs to a pool; ``needs`` (P, N): what only it can meet.

    ``is_exact``: all pools are there. Otherwise some limits are not seen, and what can be
    done may be overstated, never understated.
    """

    models: Bools
    needs: Bools
    is_exact: bool


def pools_of(suits: Bools, loaded: Bools, stocked: Bools) -> Pools:
    """The pools of the needs that are ``loaded`` (N,) somewhere.

    ``suits`` (N, D); ``stocked`` (D,): a site has a working unit of the model.
    """
    usable = suits & stocked
    groups = frozenset(frozenset(np.flatnonzero(row).tolist()) for row in usable[loaded])
    unions = overlapping_unions(groups, MOST_POOLS)
    found = tuple(sorted(groups, key=sorted)) if unions is None else unions
    models = _members(found, suits.shape[1])
    elsewhere: Bools = np.any(usable[None] & ~models[:, None], axis=2)
    # A need that nothing in stock suits has a pool of its own, without models.
    suited: Bools = np.any(usable, axis=1)
    filled: Bools = np.any(models, axis=1)
    needs = loaded & ~elsewhere & (suited == filled[:, None])
    return Pools(models, needs, unions is not None)


def pool_shares(pools: Pools, load: Floats, hours: Floats) -> Floats:
    """(S, P): hours there are ÷ hours needed; infinite where none are needed.

    ``load`` (S, N) hours needed, ``hours`` (S, D) hours of the working units.
    """
    needed = load @ pools.needs.T.astype(float)
    available = hours @ pools.models.T.astype(float)
    idle = needed <= 0
    shares: Floats = np.where(idle, np.inf, available / np.where(idle, 1.0, needed))
    return shares


def _members(sets: Iterable[Iterable[int]], width: int) -> Bools:
    rows = [np.isin(np.arange(width), list(members)) for members in sets]
    return np.array(rows, dtype=bool).reshape(len(rows), width)
