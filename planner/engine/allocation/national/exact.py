"""Sites whose search tree was not closed: the tight program of the site, solved by HiGHS."""

from dataclasses import dataclass, field

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend import highs
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.groundwork import ground
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.kernel import Prices
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.shared_rows import serve_at_most_the_demand
from planner.engine.allocation.site_rows import (
    keep_machine_hours,
    keep_staff_hours,
    require_what_is_missing,
)


@dataclass(frozen=True)
class SiteProgram:
    """One site's program; columns of actions and shares, and what they are worth and cost."""

    program: Program
    action_column: Ints
    action: Ints
    price: Floats
    share_column: Ints
    worth: Floats
    running: Floats

    def aiming_at(self, prices: Prices, of_worth: float) -> Program:
        """The program with what the site gains at ``prices``."""
        gain = np.zeros(len(self.program.gain))
        gain[self.share_column] = of_worth * self.worth - prices.of_running * self.running
        cost = self.price * prices.of_price[self.action] + prices.more[self.action]
        gain[self.action_column] = -cost
        return self.program.aiming_at(gain)


@dataclass
class SitePrograms:
    """Programs of single sites, written when first asked for."""

    instance: Instance
    _written: dict[int, SiteProgram] = field(default_factory=dict)

    def best(
        self, site: int, prices: Prices, watch: Watch, *, gap: float, seconds: float
    ) -> tuple[Ints | None, float]:
        """Quantities by action column (``None``: none found) and a bound on the net worth."""
        if site not in self._written:
            self._written[site] = _site_program(self.instance, site)
        written = self._written[site]
        program = written.aiming_at(prices, float(prices.of_worth[site]))
        answer = highs.maximise(program, watch, gap=gap, seconds=seconds)
        if answer.x is None:
            return None, answer.bound
        return np.rint(answer.x[written.action_column]).astype(np.int64), answer.bound


def _site_program(instance: Instance, site: int) -> SiteProgram:
    here = ground(instance, site)
    draft = Draft(instance, [here])
    require_what_is_missing(draft, here)
    keep_staff_hours(draft, here)
    keep_machine_hours(draft, here)
    serve_at_most_the_demand(draft)
    share_column, arc, method, volume = draft.all_shares()
    action_column, _, action = draft.all_actions()
    catalogue = instance.catalogue
    return SiteProgram(
        program=draft.builder.program(),
        action_column=action_column,
        action=action,
        price=instance.places.price[site, action],
        share_column=share_column,
        worth=catalogue.value[method] * volume,
        running=(catalogue.consumable_cost[method] + instance.places.cost[arc]) * volume,
    )
