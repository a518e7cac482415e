"""Packages taken one after the other, each for a test at a site, while the money lasts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.funds import drawn
from planner.engine.allocation.instance import Instance
from planner.engine.allocation.progress import Watch

_LEAST_WORTH = 1e-9
_ROUNDING = 1e-9  # relative


@dataclass(frozen=True)
class Package:
    """Actions (each once) by which ``method`` can run at ``site``, and what that is worth.

    ``tests`` (a year) are those of people who get none so far, as far as staff has hours.
    """

    site: int
    method: int
    actions: tuple[int, ...]
    cost: float
    tests: float
    worth: float

    @property
    def rank(self) -> tuple[float, float, int, int]:
        """What costs nothing first, then most worth for its money."""
        per_money = self.worth / self.cost if self.cost else np.inf
        return (-per_money, -self.worth, self.site, self.method)


@dataclass(frozen=True)
class Lacking:
    """By method, the cheapest actions that it lacks at one site; a cost without end: none do."""

    actions: tuple[tuple[int, ...], ...]
    cost: Floats


class Gathering:
    """Actions chosen so far (``quantities``, sites × actions), and what they leave.

    It starts with what must be done, and with everything that runs already.
    """

    def __init__(self, instance: Instance, watch: Watch) -> None:
        places = instance.places
        self.instance, self.watch = instance, watch
        self.quantities: Ints = places.least.copy()
        self.unmet: Floats = places.demand.copy()
        self.hours: Floats = places.staff_hours.copy()
        self._lacking = [self._lacking_at(site) for site in range(len(places.sites))]
        for site in range(len(places.sites)):
            self.take([site], at_most=0.0)

    def take(self, sites: Sequence[int], *, at_most: float = np.inf) -> None:
        """Take packages of ``sites``, the most worth for its money first, for ``at_most``."""
        left = at_most * (1 + _ROUNDING)
        refused: dict[int, set[int]] = {site: set() for site in sites}
        known = {site: self._best(site, left, refused[site]) for site in sites}
        while self.watch.left > 0.0:
            there = [package for package in known.values() if package is not None]
            if not there:
                return
            package = min(there, key=lambda each: each.rank)
            site = package.site
            # Others may have taken some of its tests since, so it is looked at again.
            now = self._best(site, left, refused[site])
            if now is not None and now.rank <= package.rank:
                if self._is_within(now):
                    self._do(now)
                    left -= now.cost
                else:
                    refused[site].add(now.method)
                now = self._best(site, left, refused[site])
            known[site] = now

    def _best(self, site: int, at_most: float, refused: set[int]) -> Package | None:
        lacking, value = self._lacking[site], self.instance.catalogue.value
        tests = self._tests(site)
        worth = tests * value
        open_to = (worth > _LEAST_WORTH) & (lacking.cost <= at_most)
        open_to[list(refused)] = False
        packages = (
            Package(
                site, method, lacking.actions[method], float(lacking.cost[method]),
                float(tests[method]), float(worth[method]),
            )
            for method in np.flatnonzero(open_to).tolist()
        )  # fmt: skip
        return min(packages, key=lambda package: package.rank, default=None)

    def _tests(self, site: int) -> Floats:
        """By method, tests a year that nobody does so far and that staff there has hours for."""
        catalogue, places = self.instance.catalogue, self.instance.places
        arcs = places.arcs_of[site]
        reached = np.where(places.volume[arcs] > 0, self.unmet[places.origin[arcs]], 0.0)
        there = reached.sum(axis=0)[catalogue.test_of]
        each = catalogue.staff_hours
        room = np.full(len(each), np.inf)
        np.divide(self.hours[site], each, out=room, where=each > 0)
        tests: Floats = np.where(catalogue.counts, np.minimum(there, room), 0.0)
        return tests

    def _lacking_at(self, site: int) -> Lacking:
        catalogue, places = self.instance.catalogue, self.instance.places
        given = places.present[site] | self._given_by(self.quantities[site] > 0)
        found = [self._cheapest(site, needed, given.copy()) for needed in catalogue.needs]
        cost = [
            np.inf if actions is None else float(places.price[site, list(actions)].sum())
            for actions in found
        ]
        return Lacking(tuple(actions or () for actions in found), np.array(cost, dtype=float))

    def _cheapest(self, site: int, needed: Bools, given: Bools) -> tuple[int, ...] | None:
        """The cheapest action for each thing that is lacking; ``None`` where there is none."""
        catalogue, places = self.instance.catalogue, self.instance.places
        actions: list[int] = []
        wanted = needed.copy()
        room = places.most[site] > self.quantities[site]
        while (lacking := np.flatnonzero(wanted & ~given)).size:
            able = np.flatnonzero(catalogue.supplies[lacking[0]] & room)
            if not able.size:
                return None
            action = int(able[np.argmin(places.price[site, able])])
            actions.append(action)
            room[action] = False
            given |= catalogue.supplies[:, action]
            wanted |= catalogue.bundled[action]
        return tuple(actions)

    def _given_by(self, actions: Bools) -> Bools:
        given: Bools = np.any(self.instance.catalogue.supplies[:, actions], axis=1)
        return given

    def _is_within(self, package: Package) -> bool:
        """Whether the shared limits on actions still hold with ``package``."""
        if not package.actions:
            return True
        catalogue, bounds = self.instance.catalogue, self.instance.bounds
        wanted = self.quantities.copy()
        wanted[package.site, list(package.actions)] += 1
        if (wanted * catalogue.trainer_days).sum() > bounds.trainer_days * (1 + _ROUNDING):
            return False
        if (wanted * catalogue.annual_cost).sum() > bounds.recurrent:
            return False
        spent = (wanted * self.instance.places.price).sum(axis=0)
        if drawn(self.instance, spent).capital > bounds.capital * (1 + _ROUNDING):
            return False
        bought = (wanted[:, : catalogue.models] > 0).any(axis=0)
        return all((bought & each.models).sum() <= each.most for each in bounds.standards)

    def _do(self, package: Package) -> None:
        catalogue, places = self.instance.catalogue, self.instance.places
        self.quantities[package.site, list(package.actions)] += 1
        self.hours[package.site] -= package.tests * float(catalogue.staff_hours[package.method])
        left, test = package.tests, catalogue.test_of[package.method]
        arcs = range(*places.arcs_of[package.site].indices(len(places.origin)))
        # Its own people first, then those whose specimens come to it.
        for arc in sorted(arcs, key=lambda each: places.origin[each] != package.site):
            if places.volume[arc, test] > 0:
                done = min(left, float(self.unmet[places.origin[arc], test]))
                self.unmet[places.origin[arc], test] -= done
                left -= done
        if package.actions:
            self._lacking[package.site] = self._lacking_at(package.site)
