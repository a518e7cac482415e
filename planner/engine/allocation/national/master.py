"""The master program: one package for each site, as far as the shared limits reach.

Maximise Σ worth · λ, where the shares λ of a site's packages add up to at most 1, what they
use of each shared limit is within it, and each area with a floor reaches it. A floor may be
missed at a price above any that it can be worth, so that there is always an answer. The dual
values are the prices at which sites are asked next.
"""

from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np
import pulp

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.backend.highs_run import Run, failure, loaded
from planner.engine.allocation.national.packages import Packages
from planner.engine.allocation.national.shared import Shared, Toll
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch

DEAREST_BONUS = 100.0  # a unit of worth that a floor lacks counts as this many
_INF = highspy.kHighsInf


@dataclass(frozen=True)
class Priced:
    """The optimum over the packages so far: its value, prices, and each package's share.

    ``missing`` is by how much floors are missed altogether.
    """

    value: float
    toll: Toll
    share: Floats
    missing: float


class Master:
    """The master program over growing packages; each solve starts where the last one ended.

    Rows: one for each of ``sites``, then the shared limits, then the floors, each scaled so
    that its factors are near 1; worth is in units of ``unit``.
    """

    def __init__(self, shared: Shared, sites: Ints, unit: float) -> None:
        self.shared, self.sites, self.unit = shared, sites, unit
        self.areas = np.flatnonzero(shared.floor > 0)
        self.scale = np.where(shared.limit > 0, shared.limit / len(sites), 1.0)
        self._row_of_site = np.full(int(sites.max()) + 1, -1)
        self._row_of_site[sites] = np.arange(len(sites))
        floor_row = np.full(len(shared.floor), -1)
        floor_row[self.areas] = len(sites) + shared.rows + np.arange(len(self.areas))
        self._floor_row_of_site = floor_row[shared.area_of]
        self._program = self._frame()
        self._highs: Any = loaded(self._program, relaxed=True)

    def _frame(self) -> Program:
        """The rows, and a column for what each floor lacks."""
        shared, floors = self.shared, len(self.areas)
        rows = len(self.sites) + shared.rows
        ones = np.ones(len(self.sites))
        return Program(
            unit=self.unit,
            gain=-DEAREST_BONUS * shared.floor[self.areas] / self.unit,
            least=np.zeros(floors),
            most=np.ones(floors),
            whole=np.zeros(floors, dtype=bool),
            lower=np.concatenate([np.full(rows, -np.inf), np.ones(floors)]),
            upper=np.concatenate([ones, shared.limit / self.scale, np.full(floors, np.inf)]),
            start=np.concatenate([np.zeros(rows), np.arange(floors + 1)]).astype(np.int64),
            column=np.arange(floors),
            factor=np.ones(floors),
        )

    def limit_to(self, shared: Shared) -> None:
        """The same packages within other limits."""
        self.shared = shared
        for row, limit in enumerate(shared.limit / self.scale):
            self._highs.changeRowBounds(len(self.sites) + row, -_INF, float(limit))

    def add(self, packages: Packages, numbers: Ints) -> None:
        """Columns for these packages."""
        site, worth = packages.site[numbers], packages.worth[numbers]
        place, row, factor = self._entries(site, worth, packages.use[:, numbers])
        start = np.searchsorted(place, np.arange(len(numbers))).astype(np.int32)
        self._highs.addCols(
            len(numbers), worth / self.unit, np.zeros(len(numbers)), np.full(len(numbers), _INF),
            len(row), start, row.astype(np.int32), factor,
        )  # fmt: skip

    def _entries(self, site: Ints, worth: Floats, use: Floats) -> tuple[Ints, Ints, Floats]:
        number = np.arange(len(site))
        shared_row, package = np.nonzero(use)
        floors = np.flatnonzero(self._floor_row_of_site[site] >= 0)
        place = np.concatenate([number, package, floors])
        row = np.concatenate(
            [self._row_of_site[site], len(self.sites) + shared_row,
             self._floor_row_of_site[site[floors]]]
        )  # fmt: skip
        floor_of = self.shared.floor[self.shared.area_of[site[floors]]]
        factor = np.concatenate(
            [np.ones(len(site)), use[shared_row, package] / self.scale[shared_row],
             worth[floors] / floor_of]
        )  # fmt: skip
        order = np.lexsort((row, place))
        return place[order], row[order], factor[order]

    def solve(self, watch: Watch, packages: int) -> Priced | None:
        """The optimum over the ``packages`` added so far; ``None`` if time runs out."""
        run = Run(self._highs, self._program)
        run.go(watch, watch.left, None)
        if run.status() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = self._highs.getSolution()
        floors = len(self.areas)
        x, dual = np.array(solution.col_value), np.array(solution.row_dual)
        if len(x) != floors + packages:
            raise failure("it lost packages")
        first = len(self.sites)
        bonus = np.zeros(len(self.shared.floor))
        prices = np.maximum(0.0, dual[first : first + self.shared.rows]) * self.unit / self.scale
        lacking = np.maximum(0.0, -dual[first + self.shared.rows :])
        bonus[self.areas] = lacking * self.unit / self.shared.floor[self.areas]
        return Priced(
            value=self._highs.getInfo().objective_function_value * self.unit,
            toll=Toll(prices, bonus),
            share=x[floors:],
            missing=float(x[:floors] @ self.shared.floor[self.areas]),
        )


def stated(shared: Shared, packages: Packages) -> pulp.LpProblem:
    """The master program as it is stated, in PuLP; ``Master`` says the same in arrays."""
    problem = pulp.LpProblem("master", pulp.LpMaximize)
    share = [problem.add_variable(f"share_{n}", 0) for n in range(len(packages))]
    areas = np.flatnonzero(shared.floor > 0).tolist()
    lacks = {area: problem.add_variable(f"lacks_{area}", 0) for area in areas}
    problem.setObjective(
        pulp.lpSum(float(w) * x for w, x in zip(packages.worth, share, strict=True))
        - DEAREST_BONUS * pulp.lpSum(lacks.values())
    )
    for site in np.unique(packages.site).tolist():
        inside = [share[n] for n in np.flatnonzero(packages.site == site)]
        problem.addConstraint(pulp.lpSum(inside) <= 1, f"one_package({site})")
    for row, limit in enumerate(shared.limit.tolist()):
        use = pulp.lpSum(float(u) * x for u, x in zip(packages.use[row], share, strict=True))
        problem.addConstraint(use <= limit, f"within({row})")
    area_of = shared.area_of[packages.site]
    for area in areas:
        worth = pulp.lpSum(
            float(packages.worth[n]) * share[n] for n in np.flatnonzero(area_of == area)
        )
        problem.addConstraint(worth + lacks[area] >= float(shared.floor[area]), f"floor({area})")
    return problem
