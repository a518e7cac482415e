"""Tests that need not travel: done at home without lack or limit, no worse and no dearer."""

from dataclasses import dataclass

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.groundwork import Ground
from planner.engine.allocation.instance import Instance


@dataclass(frozen=True)
class AtHome:
    """What a site does for its own people without lack or limit: no reason to send that away."""

    instance: Instance
    ways: Ints

    def beats(self, methods: Ints, cost: Floats) -> Bools:
        """Which of ``methods``, done elsewhere at ``cost`` a test, are no better than at home."""
        catalogue = self.instance.catalogue
        beats: Bools = (
            (catalogue.test_of[self.ways][:, None] == catalogue.test_of[methods])
            & (catalogue.value[self.ways][:, None] >= catalogue.value[methods])
            & (catalogue.consumable_cost[self.ways][:, None] <= cost)
        ).any(axis=0)
        return beats


def served_at_home(instance: Instance, here: Ground) -> AtHome:
    """The ways at a site that lack nothing and use nothing that is short."""
    free = ~here.lacks.any(axis=1)
    if here.staff_binds:
        free &= instance.catalogue.staff_hours[here.ways] == 0
    if here.hours is None:
        free &= ~instance.catalogue.device_hours[here.ways].any(axis=1)
    else:
        for row in here.hours:
            free &= row.load[here.ways] == 0
    return AtHome(instance, here.ways[free])
