"""Who may pay for what: general capital for everything, earmarks for tagged devices only.

Whether purchases can be paid is a matter of Hall's condition: for each set of earmarks,
what only they and the capital may pay costs no more than they and the capital hold.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats
from planner.engine.allocation.instance import Instance

MOST_ROWS = 512


@dataclass(frozen=True)
class FundRow:
    """Spending on ``actions`` (mask) is at most ``money``."""

    actions: Bools
    money: float


def fund_rows(instance: Instance) -> tuple[FundRow, ...] | None:
    """Hall's condition for money; ``None`` if the sets of earmarks are too many to list."""
    payable = instance.catalogue.payable
    unions = {frozenset[int]()}
    for tags in {frozenset(np.flatnonzero(row).tolist()) for row in payable}:
        unions |= {union | tags for union in unions}
        if len(unions) > MOST_ROWS:
            return None
    return tuple(_row(instance, union) for union in sorted(unions, key=sorted))


def _row(instance: Instance, earmarks: frozenset[int]) -> FundRow:
    bounds, payable = instance.bounds, instance.catalogue.payable
    inside = np.isin(np.arange(payable.shape[1]), list(earmarks))
    money = bounds.capital + float(bounds.earmarks[inside].sum())
    payable_by_others: Bools = np.any(payable[:, ~inside], axis=1)
    return FundRow(~payable_by_others, money)


@dataclass(frozen=True)
class Drawn:
    """Money taken from general capital, and from each earmark in the order of ``bounds``."""

    capital: float
    earmarks: Floats


def drawn(instance: Instance, spent: Floats) -> Drawn:
    """Share costs out: earmarks first, those with the lower code before the others.

    ``spent`` is money by action, over all sites. What no earmark can take, capital pays.
    """
    open_to, group_of = np.unique(instance.catalogue.payable, axis=0, return_inverse=True)
    owed = np.zeros(len(open_to))
    np.add.at(owed, group_of.ravel(), spent)
    sharing = _Sharing(open_to, owed)
    for fund, money in enumerate(instance.bounds.earmarks):
        sharing.draw(fund, float(money))
    taken = sharing.paid.sum(axis=0)
    return Drawn(max(0.0, float(spent.sum() - taken.sum())), taken)


class _Sharing:
    """A maximum flow from funds to groups of purchases, one fund at a time.

    ``open_to`` and ``paid`` are groups × funds. A fund that finds all its groups paid for
    takes over what another fund pays there, if that one can pay elsewhere instead; so no
    fund that has drawn before draws less.
    """

    def __init__(self, open_to: Bools, owed: Floats) -> None:
        self.open_to = open_to
        self.owed = owed
        self.paid = np.zeros(open_to.shape)
        self.least = 1e-12 * float(owed.sum())

    def draw(self, fund: int, money: float) -> None:
        while money > self.least:
            path = self._path(fund)
            if path is None:
                return
            room = min(money, self.owed[path[-1][1]] - self.paid[path[-1][1]].sum())
            for (_, group), (other, _) in pairwise(path):
                room = min(room, self.paid[group, other])
            for payer, group in path:
                self.paid[group, payer] += room
            for (_, group), (other, _) in pairwise(path):
                self.paid[group, other] -= room
            money -= room

    def _path(self, fund: int) -> list[tuple[int, int]] | None:
        """(fund, group) steps: each fund starts to pay a group, in place of the next fund."""
        before: dict[int, tuple[int, int] | None] = {fund: None}
        for payer in (queue := [fund]):
            for group in np.flatnonzero(self.open_to[:, payer]).tolist():
                if self.owed[group] - self.paid[group].sum() > self.least:
                    return self._traced(before, payer, group)
                for other in np.flatnonzero(self.paid[group] > self.least).tolist():
                    if other not in before:
                        before[other] = (payer, group)
                        queue.append(other)
        return None

    @staticmethod
    def _traced(
        before: dict[int, tuple[int, int] | None], payer: int, group: int
    ) -> list[tuple[int, int]]:
        path = [(payer, group)]
        while (step := before[path[-1][0]]) is not None:
            path.append(step)
        return path[::-1]
