"""The limits that sites share, as rows over packages, and what they cost a site at prices."""

from dataclasses import dataclass, replace

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.funds import fund_rows
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.kernel import Blocks, Prices

_ROUNDING = 1e-9  # relative, added to each bound for sums of floating point numbers


@dataclass(frozen=True)
class Shared:
    """Rows ≤ ``limit``: money by Hall's condition, then running money, then trainer days.

    ``paid`` (money rows × actions) says what each money row pays; ``annual`` and ``days``
    are what one unit of each action uses. ``running`` and ``training`` are the rows of
    running money and trainer days, or −1. ``floor`` is what each area must reach, 0 for none;
    ``capital`` is the part of each money row's limit that is not earmarked.
    """

    capital: float
    limit: Floats
    paid: Bools
    annual: Floats
    days: Floats
    running: int
    training: int
    floor: Floats
    area_of: Ints

    @property
    def rows(self) -> int:
        return len(self.limit)

    def for_part(self, share: float, areas: Bools) -> "Shared":
        """The limits for a part of the country: ``share`` of all that is shared, ``areas``."""
        floor = np.where(areas, self.floor, 0.0)
        return replace(self, capital=share * self.capital, limit=share * self.limit, floor=floor)

    def with_capital(self, capital: float) -> "Shared":
        """The same with other capital."""
        limit = self.limit.copy()
        limit[: len(self.paid)] += capital - self.capital
        return replace(self, capital=capital, limit=limit)


@dataclass(frozen=True)
class Toll:
    """Prices: of one unit of each row of ``Shared``, and a bonus on the worth of each area."""

    row: Floats
    bonus: Floats

    def between(self, other: "Toll", part: float) -> "Toll":
        """``part`` of ``other``, the rest of this."""
        return Toll(
            (1 - part) * self.row + part * other.row, (1 - part) * self.bonus + part * other.bonus
        )

    def income(self, shared: Shared) -> float:
        """What the limits themselves are worth at these prices."""
        return float(self.row @ shared.limit - self.bonus @ shared.floor)


@dataclass(frozen=True)
class Line:
    """A bound on every plan, whatever the capital: ``constant`` + ``slope`` · capital."""

    constant: float
    slope: float
    toll: Toll

    def at(self, capital: float) -> float:
        """The bound at this capital."""
        return self.constant + self.slope * capital


def line_of(shared: Shared, toll: Toll, gained: float) -> Line:
    """What is proven when sites gain at most ``gained`` altogether at the prices ``toll``."""
    slope = float(toll.row[: len(shared.paid)].sum())
    bound = gained + toll.income(shared)
    return Line(bound + _ROUNDING * abs(bound) - slope * shared.capital, slope, toll)


def shared_of(instance: Instance) -> Shared | None:
    """The shared limits of ``instance``; ``None`` if the rows of earmarks are too many."""
    catalogue, places, bounds = instance.catalogue, instance.places, instance.bounds
    funds = fund_rows(instance)
    if funds is None:
        return None
    limit = [row.money for row in funds]
    running = training = -1
    if np.isfinite(bounds.recurrent):
        running, limit = len(limit), [*limit, bounds.recurrent]
    if np.isfinite(bounds.trainer_days):
        training, limit = len(limit), [*limit, bounds.trainer_days]
    return Shared(
        capital=bounds.capital,
        limit=np.array(limit),
        paid=np.array([row.actions for row in funds]),
        annual=catalogue.annual_cost,
        days=catalogue.trainer_days,
        running=running,
        training=training,
        floor=bounds.floor * bounds.possible,
        area_of=places.area_of,
    )


def prices_of(shared: Shared, toll: Toll) -> Prices:
    """The same prices as a site meets them."""
    running = float(toll.row[shared.running]) if shared.running >= 0 else 0.0
    training = float(toll.row[shared.training]) if shared.training >= 0 else 0.0
    return Prices(
        of_price=toll.row[: len(shared.paid)] @ shared.paid,
        more=running * shared.annual + training * shared.days,
        of_running=running,
        of_worth=1.0 + toll.bonus[shared.area_of],
    )


def used(shared: Shared, blocks: Blocks, quantity: Ints, running: Floats) -> Floats:
    """Rows × sites: what ``quantity`` of the items and ``running`` money for tests use."""
    sites = len(blocks.item_at) - 1
    site = np.repeat(np.arange(sites), np.diff(blocks.item_at))
    spent = quantity * blocks.price

    def by_site(amount: Floats) -> Floats:
        total: Floats = np.bincount(site, weights=amount, minlength=sites).astype(float)
        return total

    use = np.zeros((shared.rows, sites))
    for row, pays in enumerate(shared.paid):
        use[row] = by_site(spent * pays[blocks.action])
    if shared.running >= 0:
        use[shared.running] = running + by_site(quantity * shared.annual[blocks.action])
    if shared.training >= 0:
        use[shared.training] = by_site(quantity * shared.days[blocks.action])
    return use
