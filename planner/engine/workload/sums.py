"""Hours needed and there are, at all sites at once; and how far they go.

Letters for shapes: S sites, M methods, N distinct needs, D device models, C device classes,
P pools of machines.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.engine.capacity import BANDS, WORKING_DAYS_PER_YEAR, band, utilisation
from planner.engine.case import Case, Result
from planner.engine.coverage.assessment import Assessment
from planner.engine.errors import EngineError
from planner.engine.matching import Suitability, suitability
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats, positions
from planner.engine.workload.batching import Batching, Hours, hours_of
from planner.engine.workload.pools import Pools, pool_shares, pools_of
from planner.engine.workload.site import AskedTest, Binding, Resource, SiteWorkload
from planner.engine.workload.volumes import Asked, asked_of_result, asked_today, units_of


@dataclass(frozen=True)
class Workload:
    """The hours of every site of ``case`` for the tests ``asked`` of it.

    ``hours`` that they take; ``need_load`` (S, N) machine hours by distinct need; ``working``
    and ``broken`` units (S, D); ``staff_needed``, ``staff_available`` (S,) hours a year;
    ``staff_share`` (S,) and ``pool_share`` (S, P): hours there are ÷ hours needed, infinite
    where none are needed; ``doable`` (S, M): tests a year that there is time for.
    """

    case: Case
    suitability: Suitability
    asked: Asked
    hours: Hours
    need_load: Floats
    working: Floats
    broken: Floats
    pools: Pools
    staff_needed: Floats
    staff_available: Floats
    staff_share: Floats
    pool_share: Floats
    doable: Floats

    def at(self, site_code: str) -> SiteWorkload:
        """The figures of one site. Raises ``EngineError`` for a code the case does not have."""
        if site_code not in self._sites:
            raise EngineError(
                f"The case has no site with code {site_code!r}.",
                remedy="Use the code of one of its sites.",
            )
        return self._site(self._sites[site_code])

    @cached_property
    def _sites(self) -> dict[str, int]:
        return positions(self.case.sites)

    @cached_property
    def _classes(self) -> dict[str, Bools]:
        """Device class to which of the needs (N,) are of it, where any takes time."""
        loaded: Bools = np.any(self.need_load, axis=0)
        classes = np.array([need.device_class for need in self.suitability.needs], dtype=object)
        return {code: loaded & (classes == code) for code in sorted(set(classes[loaded]))}

    def _site(self, site: int) -> SiteWorkload:
        asked = self.asked
        return SiteWorkload(
            site=self.case.sites[site].code,
            asked=float(asked.volumes[site].sum()),
            own=float(asked.own[site]),
            from_others=float(asked.from_others[site]),
            sent_away=float(asked.sent_away[site]),
            undone=float(asked.undone[site]),
            doable=float(self.doable[site].sum()),
            staff=_resource(
                "staff", "staff", (self.staff_needed[site], self.staff_available[site]), (0.0, 0.0)
            ),
            machines=tuple(
                self._machine(site, code, needs)
                for code, needs in self._classes.items()
                if self.need_load[site, needs].any()
            ),
            binding=self._binding(site),
            tests=self._tests(site),
        )

    def _machine(self, site: int, code: str, of_class: Bools) -> Resource:
        loaded = of_class & (self.need_load[site] > 0)
        able = self.suitability.suits[loaded].any(axis=0)
        hours = np.array([model.hours_per_year for model in self.case.device_models])
        return _resource(
            "machine",
            code,
            (self.need_load[site, loaded].sum(), self.working[site, able] @ hours[able]),
            (self.working[site, able].sum(), self.broken[site, able].sum()),
        )

    def _binding(self, site: int) -> Binding | None:
        """Staff before machines where both run out at once."""
        pool = int(self.pool_share[site].argmin()) if self.pool_share.shape[1] else -1
        machine = self.pool_share[site, pool] if pool >= 0 else np.inf
        staff = self.staff_share[site]
        if np.isinf(staff) and np.isinf(machine):
            return None
        if staff <= machine:
            short = self.staff_needed[site] - self.staff_available[site]
            return Binding("staff", (), float(staff), max(0.0, float(short)))
        needs = self.pools.needs[pool] & (self.need_load[site] > 0)
        needed = float(self.need_load[site, needs].sum())
        codes = sorted({self.suitability.needs[n].device_class for n in np.flatnonzero(needs)})
        return Binding(
            "machine", tuple(codes), float(machine), max(0.0, needed * (1 - float(machine)))
        )

    def _tests(self, site: int) -> tuple[AskedTest, ...]:
        return tuple(
            AskedTest(
                test=self.case.methods[method].test,
                method=self.case.methods[method].code,
                asked=float(self.asked.volumes[site, method]),
                doable=float(self.doable[site, method]),
                staff_hours=float(self.hours.staff[site, method]),
            )
            for method in np.flatnonzero(self.asked.volumes[site])
        )


def workload(
    case: Case,
    done: Assessment | Result,
    *,
    batching: Mapping[str, Batching] | None = None,
    days_per_year: float = WORKING_DAYS_PER_YEAR,
) -> Workload:
    """What the tests of each site take, and what the site has.

    ``done`` says which: the coverage of ``case``, for all that people ask for today and the
    sites are equipped for; or a plan, for its volumes with what it buys and repairs.
    ``batching``: code of a method to its batches; then hours are those of the batches that
    the volume of each site fills, and else those per test that the case states. Staff hours
    and machine hours that the case gives are taken as they are: allowances for other work
    and for breakdowns must be in them already.
    """
    if isinstance(done, Result):
        suits, asked = suitability(case), asked_of_result(case, done)
        working, broken = units_of(case, done)
    else:
        suits, asked = done.situation.suitability, asked_today(done)
        working, broken = units_of(case)
    hours = hours_of(case, asked.volumes, batching or {}, days_per_year)
    load = _need_load(hours, suits)
    loaded: Bools = np.any(load, axis=0)
    stocked: Bools = np.any(working, axis=0)
    pools = pools_of(suits.suits, loaded, stocked)
    per_unit = np.array([model.hours_per_year for model in case.device_models])
    shares = pool_shares(pools, load, working * per_unit)
    available = np.array([site.staff_hours for site in case.sites])
    needed = hours.staff.sum(axis=1)
    doable = _doable(asked.volumes, hours, _machine_shares(hours, suits, pools, shares), available)
    return Workload(
        case=case,
        suitability=suits,
        asked=asked,
        hours=hours,
        need_load=load,
        working=working,
        broken=broken,
        pools=pools,
        staff_needed=needed,
        staff_available=available,
        staff_share=_share(available, needed),
        pool_share=shares,
        doable=doable,
    )


def _need_load(hours: Hours, suits: Suitability) -> Floats:
    load = np.zeros((len(hours.staff), len(suits.needs)))
    for of_method, taken in zip(suits.method_needs, hours.needs, strict=True):
        for need, needed in zip(of_method, taken, strict=True):
            load[:, need] += needed
    return load


def _machine_shares(hours: Hours, suits: Suitability, pools: Pools, shares: Floats) -> Floats:
    """(S, M): the share of a method's tests that machines allow, at most 1.

    Each need is cut to the worst of the pools it belongs to, so no pool is used beyond its
    hours.
    """
    allowed = np.ones_like(hours.staff)
    limits = np.minimum(shares, 1.0)
    of_need = {
        int(need): limits[:, pools.needs[:, need]].min(axis=1)
        for need in np.flatnonzero(pools.needs.any(axis=0))
    }
    for method, (of_method, taken) in enumerate(zip(suits.method_needs, hours.needs, strict=True)):
        for need, needed in zip(of_method, taken, strict=True):
            if need in of_need:
                cut = np.where(needed > 0, of_need[need], 1.0)
                np.minimum(allowed[:, method], cut, out=allowed[:, method])
    return allowed


def _doable(volumes: Floats, hours: Hours, allowed: Floats, available: Floats) -> Floats:
    """What machines allow, cut once more by one share where staff do not suffice for it.

    Tests that take no staff time are not cut for want of staff.
    """
    staff_limit = np.minimum(_share(available, (hours.staff * allowed).sum(axis=1)), 1.0)
    by_staff = np.where(hours.staff > 0, staff_limit[:, None], 1.0)
    doable: Floats = volumes * allowed * by_staff
    return doable


def _share(available: Floats, needed: Floats) -> Floats:
    idle = needed <= 0
    share: Floats = np.where(idle, np.inf, available / np.where(idle, 1.0, needed))
    return share


def _resource(
    kind: str, code: str, hours: tuple[float, float], units: tuple[float, float]
) -> Resource:
    needed, available = (float(each) for each in hours)
    used = float(utilisation(needed, available))
    return Resource(
        kind="staff" if kind == "staff" else "machine",
        code=code,
        needed_hours=needed,
        available_hours=available,
        used_share=used,
        band=BANDS[int(band(used))],
        units=float(units[0]),
        broken_units=float(units[1]),
    )
