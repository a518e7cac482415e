"""Sites that HiGHS prices with the tight program: groups tied by links, and hard sites alone."""

from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend import highs
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.national.part import own_arcs, part_of
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.shared_rows import serve_at_most_the_demand
from planner.engine.allocation.site_rows import (
    keep_machine_hours,
    keep_staff_hours,
    require_what_is_missing,
)


@dataclass(frozen=True)
class PartProgram:
    """The program of some sites without what all sites share.

    ``site``, ``action`` and ``price`` are of the action columns, ``arc``, ``method``,
    ``worth`` and ``running`` of the share columns, numbered as in the whole case.
    """

    program: Program
    action_column: Ints
    site: Ints
    action: Ints
    price: Floats
    share_column: Ints
    arc: Ints
    method: Ints
    worth: Floats
    running: Floats

    def best(
        self, prices: Prices, of_worth: float, watch: Watch, *, gap: float, nodes: int | None,
        seconds: float,
    ) -> Answer:  # fmt: skip
        """The best point at ``prices``; its value and bound are net of them."""
        gain = np.zeros(len(self.program.gain))
        gain[self.share_column] = of_worth * self.worth - prices.of_running * self.running
        gain[self.action_column] = -(
            self.price * prices.of_price[self.action] + prices.more[self.action]
        )
        program = self.program.aiming_at(gain)
        return highs.maximise(program, watch, gap=gap, nodes=nodes, seconds=seconds)

    def as_it_is(self) -> "PartProgram":
        """The same where nothing can be bought, repaired, trained or provided."""
        most = np.where(self.program.whole, 0.0, self.program.most)
        program = self.program.within(most=most)
        return replace(self, program=replace(program, whole=np.zeros_like(program.whole)))

    def quantities(self, x: Floats) -> Ints:
        """Of each action column, whole."""
        return np.rint(x[self.action_column]).astype(np.int64)


def part_program(instance: Instance, sites: Ints, arcs: Ints) -> PartProgram:
    """The program of ``sites`` with ``arcs`` among them."""
    part = part_of(instance, sites, arcs)
    draft = Draft(part, [ground(part, site) for site in range(len(sites))])
    for here in draft.grounds:
        require_what_is_missing(draft, here)
        keep_staff_hours(draft, here)
        keep_machine_hours(draft, here)
    serve_at_most_the_demand(draft)
    share_column, arc, method, volume = draft.all_shares()
    action_column, site, action = draft.all_actions()
    catalogue = instance.catalogue
    return PartProgram(
        program=draft.builder.program(),
        action_column=action_column,
        site=sites[site],
        action=action,
        price=part.places.price[site, action],
        share_column=share_column,
        arc=arcs[arc],
        method=method,
        worth=catalogue.value[method] * volume,
        running=(catalogue.consumable_cost[method] + part.places.cost[arc]) * volume,
    )


@dataclass
class SitePrograms:
    """Programs of single sites, written when first asked for."""

    instance: Instance
    _written: dict[int, PartProgram] = field(default_factory=dict)

    def best(
        self, site: int, prices: Prices, watch: Watch, *, gap: float, seconds: float
    ) -> tuple[Ints | None, float]:
        """Quantities of the site's actions (``None``: none found), a bound on the net worth."""
        if site not in self._written:
            arcs = own_arcs(self.instance)[[site]]
            self._written[site] = part_program(self.instance, np.array([site]), arcs)
        written = self._written[site]
        of_worth = float(prices.of_worth[site])
        answer = written.best(prices, of_worth, watch, gap=gap, nodes=None, seconds=seconds)
        return (None if answer.x is None else written.quantities(answer.x)), answer.bound
