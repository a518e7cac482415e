"""The program in which limits may be exceeded, each by a column of its own."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.program import Program
from planner.engine.allocation.shared_rows import CAPITAL, RECURRENT, TRAINER_DAYS, floor_of
from planner.engine.allocation.tight import written


@dataclass(frozen=True)
class Limit:
    """A limit that may give, its value, and the ``most`` that it could be exceeded by.

    ``most`` is in the unit of the program's row; ``whole`` of it are 1 in the unit of the
    limit: the largest possible objective of the area for a floor, 1 for the others.
    """

    name: str
    title: str
    stated: float
    most: float
    whole: float = 1.0

    def percent(self, excess: float) -> float:
        """``excess``, a part of ``most``, in percent of the limit's own value."""
        return 100 * excess * self.most / (self.stated * self.whole or 1.0)


@dataclass(frozen=True)
class Eased:
    """The program in which limits may be exceeded.

    ``excess`` and ``used`` are the columns that say, limit by limit, by how much it is
    exceeded (as a part of its ``most``) and whether it is (0 or 1).
    """

    program: Program
    limits: tuple[Limit, ...]
    excess: Ints
    used: Ints

    def allowing(self, numbers: list[int]) -> Program:
        """Only the limits with these ``numbers`` may be exceeded."""
        most = self.program.most.copy()
        most[np.delete(self.used, numbers)] = 0.0
        return self.program.within(most=most)

    def aimed(self, columns: Ints, weights: Floats | float) -> Floats:
        """Gains that keep the weighted sum of ``columns`` small."""
        gain = np.zeros(len(self.program.gain))
        gain[columns] = -np.asarray(weights)
        return gain


def eased(instance: Instance) -> Eased:
    """The program of ``instance`` with every limit free to give."""
    endless = replace(instance.bounds, capital=math.inf, recurrent=math.inf, trainer_days=math.inf)
    unlimited = replace(instance, bounds=endless)
    sites = range(len(instance.places.sites))
    draft = Draft(instance, [ground(unlimited, site) for site in sites])
    limits = tuple(_limits(draft))
    excess = draft.builder.add_columns(gain=[0.0] * len(limits), most=1.0)
    used = draft.builder.add_columns(gain=[0.0] * len(limits), most=1.0, whole=True)
    for limit, column, flag in zip(limits, excess, used, strict=True):
        draft.easing[limit.name] = (int(column), limit.most)
        draft.builder.add_row(np.array([column, flag]), [1.0, -1.0], upper=0.0)
    return Eased(written(draft).program, limits, excess, used)


def _limits(draft: Draft) -> Iterator[Limit]:
    """The limits that are there, with the most that doing everything would exceed them by."""
    instance = draft.instance
    catalogue, places, bounds = instance.catalogue, instance.places, instance.bounds
    most = np.array([here.most for here in draft.grounds])
    _, arc, method, volume = draft.all_shares()
    moving = float(instance.moves.most @ instance.moves.cost)
    tests = float(((catalogue.consumable_cost[method] + places.cost[arc]) * volume).sum())
    amounts = (
        (CAPITAL, "capital", bounds.capital, (most * places.price).sum() + moving),
        (
            RECURRENT,
            "running money",
            bounds.recurrent,
            tests + (most * catalogue.annual_cost).sum(),
        ),
        (TRAINER_DAYS, "trainer days", bounds.trainer_days, (most * catalogue.trainer_days).sum()),
    )
    for name, title, stated, everything in amounts:
        if everything > stated:
            yield Limit(name, title, stated, float(everything))
    for area, floor, possible in zip(bounds.areas, bounds.floor, bounds.possible, strict=True):
        if floor * possible > 0:
            yield Limit(
                name=floor_of(area),
                title=f"the floor of area {area}",
                stated=float(floor),
                most=float(floor * possible),
                whole=float(possible),
            )
