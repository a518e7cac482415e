"""The program that is solved: the statement of ``formulation.py`` in its tightest form.

Both have the same optimum; numbers in brackets are those of the equations in ``method.md``.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.asked import Group
from planner.engine.allocation.columns import NONE, Columns
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.program import Program
from planner.engine.allocation.question_rows import (
    complete_the_bundles,
    keep_to_the_models_per_class,
    meet_the_targets,
    move_only_what_is_there,
    reach_the_minimum_sets,
)
from planner.engine.allocation.shared_rows import (
    keep_to_the_money,
    keep_to_the_running_cost,
    keep_to_the_trainer_days,
    reach_the_floors,
    serve_at_most_the_demand,
)
from planner.engine.allocation.site_rows import (
    keep_machine_hours,
    keep_staff_hours,
    require_what_is_missing,
)


@dataclass(frozen=True)
class TightModel:
    """A program, where its variables are, and what a unit of each column costs.

    ``running_cost`` (a year) and ``spending`` (that and the price) are by column.
    """

    instance: Instance
    program: Program
    columns: Columns
    running_cost: Floats
    spending: Floats

    def marking(self, columns: Ints) -> Floats:
        """1 at each of ``columns``, 0 elsewhere."""
        marked = np.zeros(len(self.program.gain))
        marked[columns] = 1.0
        return marked

    def worth_of(self, group: Group) -> Floats:
        """By column, what a whole share is worth to ``group``."""
        catalogue, places = self.instance.catalogue, self.instance.places
        arc, method = np.nonzero(self.columns.share != NONE)
        inside = group.sites[places.origin[arc]] & group.tests[catalogue.test_of[method]]
        arc, method = arc[inside], method[inside]
        worth = np.zeros(len(self.program.gain))
        worth[self.columns.share[arc, method]] = (
            catalogue.value[method] * places.volume[arc, catalogue.test_of[method]]
        )
        return worth


def tight_model(
    instance: Instance, *, at_each_site: Callable[[], None] = lambda: None
) -> TightModel:
    """The whole program of ``instance``; ``at_each_site`` is called now and then, and may raise."""
    grounds = []
    for site in range(len(instance.places.sites)):
        at_each_site()
        grounds.append(ground(instance, site))
    return written(Draft(instance, grounds), at_each_site=at_each_site)


def written(draft: Draft, *, at_each_site: Callable[[], None] = lambda: None) -> TightModel:
    """Add every row to ``draft``."""
    for here in draft.grounds:
        at_each_site()
        require_what_is_missing(draft, here)
        keep_staff_hours(draft, here)
        keep_machine_hours(draft, here)
        complete_the_bundles(draft, here)
    serve_at_most_the_demand(draft)
    keep_to_the_money(draft)
    keep_to_the_running_cost(draft)
    keep_to_the_trainer_days(draft)
    reach_the_floors(draft)
    move_only_what_is_there(draft)
    keep_to_the_models_per_class(draft)
    reach_the_minimum_sets(draft)
    meet_the_targets(draft)
    program = draft.builder.program()
    running_cost, spending = _costs(draft)
    return TightModel(draft.instance, program, draft.columns, running_cost, spending)


def _costs(draft: Draft) -> tuple[Floats, Floats]:
    catalogue, places = draft.instance.catalogue, draft.instance.places
    running_cost, price = np.zeros(draft.builder.columns), np.zeros(draft.builder.columns)
    shares, arc, method, volume = draft.all_shares()
    running_cost[shares] = (catalogue.consumable_cost[method] + places.cost[arc]) * volume
    actions, site, action = draft.all_actions()
    running_cost[actions] = catalogue.annual_cost[action]
    price[actions] = places.price[site, action]
    moves, transport = draft.all_moves()
    price[moves] = transport
    return running_cost, running_cost + price
