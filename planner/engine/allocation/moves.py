"""Moves of working units from one site to another, as arrays."""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints, positions
from planner.engine.case import Case


@dataclass(frozen=True)
class Moves:
    """Each possible move, sorted by origin, destination and model.

    ``origin`` and ``to`` are positions of sites, ``model`` of models; ``most`` units may be
    moved at ``cost`` each. ``leaving`` and ``arriving`` (sites × models) are the units that
    may leave a site, which are there, and that may come to one.
    """

    origin: Ints
    to: Ints
    model: Ints
    most: Ints
    cost: Floats
    leaving: Ints
    arriving: Ints

    def without(self) -> "Moves":
        """The same with nothing to be moved."""
        nothing = np.zeros_like
        return Moves(
            self.origin, self.to, self.model, nothing(self.most), self.cost,
            nothing(self.leaving), nothing(self.arriving),
        )  # fmt: skip

    def to_and_from(self, site: int) -> tuple[Ints, Ints]:
        """Numbers of the moves that bring units to ``site``, and of those that take some away."""
        possible = self.most > 0
        return (
            np.flatnonzero(possible & (self.to == site)),
            np.flatnonzero(possible & (self.origin == site)),
        )


def moves_of(case: Case, working: Floats) -> Moves:
    """The moves of a sorted ``case``; ``working`` are units of accepted grade, sites × models."""
    sites = [site.code for site in case.sites]
    origin = positions((move.origin for move in case.moves), sites)
    to = positions((move.to for move in case.moves), sites)
    model = positions((m.model for m in case.moves), (m.code for m in case.device_models))
    units = np.array([move.units for move in case.moves], dtype=np.int64)
    most = np.minimum(units, working[origin, model].astype(np.int64))
    leaving, arriving = (np.zeros(working.shape, dtype=np.int64) for _ in range(2))
    np.add.at(leaving, (origin, model), most)
    np.add.at(arriving, (to, model), most)
    return Moves(
        origin=origin,
        to=to,
        model=model,
        most=most,
        cost=np.array([move.cost for move in case.moves], dtype=float),
        leaving=np.minimum(leaving, working.astype(np.int64)),
        arriving=arriving,
    )
