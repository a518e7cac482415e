"""A whole plan from the master program: one package for each site, all limits kept.

Nearly every site has one package in the master's optimum already. The few that are split,
and those that could change at the least loss, choose again among their best packages in a
small mixed-integer program; the others stay as they are.
"""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.backend import highs
from planner.engine.allocation.builder import Builder
from planner.engine.allocation.national.master import Priced
from planner.engine.allocation.national.packages import Packages, best_of_each
from planner.engine.allocation.national.shared import Shared
from planner.engine.allocation.progress import Watch

_PACKAGES_EACH = 10
_NODES = 300
_SPLIT = 1e-6


@dataclass(frozen=True)
class Chosen:
    """At most one package of each site, by number (−1: none); what they are worth together."""

    package: Ints
    worth: float


def whole_plan(
    shared: Shared, packages: Packages, priced: Priced, watch: Watch, *, free: int, gap: float,
    seconds: float,
) -> Chosen | None:  # fmt: skip
    """A plan near the master's optimum, ``free`` sites choosing anew; ``None`` if none is found.

    ``gap`` is relative to the worth of the whole plan; the search ends after ``seconds``.
    """
    net = packages.net(priced.toll, shared.area_of)
    sites = int(packages.site.max()) + 1
    loss = best_of_each(net, packages.site, sites)[packages.site] - net
    chosen = _largest_share(packages, priced.share, loss, sites)
    again = _to_choose_again(packages, priced.share, loss, chosen, free)
    candidate = np.flatnonzero(again[packages.site] & _among_best(packages, loss))
    fixed = chosen[~again & (chosen >= 0)]
    answer = _chosen(shared, packages, candidate, fixed, watch, gap, seconds)
    if answer is None:
        return None
    chosen[again] = -1
    chosen[packages.site[answer]] = answer
    return Chosen(chosen, float(packages.worth[chosen[chosen >= 0]].sum()))


def _largest_share(packages: Packages, share: Floats, loss: Floats, sites: int) -> Ints:
    """The package of each site that has the largest share, the better one if several have."""
    order = np.lexsort((-loss, share))
    chosen = np.full(sites, -1)
    chosen[packages.site[order]] = order  # the last entry of a site stays
    return chosen


def _to_choose_again(
    packages: Packages, share: Floats, loss: Floats, chosen: Ints, free: int
) -> Bools:
    """Sites that are split, and then those that lose least by another package."""
    again = share[chosen] < 1 - _SPLIT
    others = np.ones(len(packages), dtype=bool)
    others[chosen] = False
    second = np.full(len(chosen), np.inf)
    np.minimum.at(second, packages.site[others], loss[others])
    more = np.argsort(np.where(again, np.inf, second), kind="stable")[:free]
    again[more] = True
    return again


def _among_best(packages: Packages, loss: Floats) -> Bools:
    """The packages of each site that lose least, a few."""
    order = np.lexsort((loss, packages.site))
    start = np.searchsorted(packages.site[order], packages.site[order])
    best = np.zeros(len(packages), dtype=bool)
    best[order] = np.arange(len(order)) - start < _PACKAGES_EACH
    return best


def _chosen(
    shared: Shared, packages: Packages, candidate: Ints, fixed: Ints, watch: Watch, gap: float,
    seconds: float,
) -> Ints | None:  # fmt: skip
    """Of the candidates one for each of their sites, beside what is ``fixed``."""
    builder = Builder()
    columns = builder.add_columns(gain=packages.worth[candidate], most=1.0, whole=True)
    site = packages.site[candidate]
    for each in np.unique(site):
        builder.add_row(columns[site == each], 1.0, upper=1.0)
    left = shared.limit - packages.use[:, fixed].sum(axis=1)
    for row in range(shared.rows):
        builder.add_row(columns, packages.use[row, candidate], upper=max(0.0, float(left[row])))
    areas = len(shared.floor)
    done = np.bincount(
        shared.area_of[packages.site[fixed]], weights=packages.worth[fixed], minlength=areas
    )
    area = shared.area_of[site]
    for each in np.flatnonzero((shared.floor > done) & (shared.floor > 0)):
        inside = area == each
        if not inside.any():
            return None
        lacking = float(shared.floor[each] - done[each])
        builder.add_row(columns[inside], packages.worth[candidate[inside]], lower=lacking)
    program = builder.program()
    total = float(packages.worth[fixed].sum())
    own = float(packages.worth[candidate].sum()) / max(1, len(candidate)) * len(np.unique(site))
    relative = gap * (total + own) / max(own, 1e-9)
    answer = highs.maximise(program, watch, gap=relative, nodes=_NODES, seconds=seconds)
    if answer.x is None:
        return None
    return candidate[answer.x > 0.5]
