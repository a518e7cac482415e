"""What was found of the time of every site, and of one in single figures.

Letters for shapes: S sites, M methods, N distinct needs, D device models, P pools.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.engine.capacity import BANDS, band, utilisation
from planner.engine.case import Case
from planner.engine.errors import EngineError
from planner.engine.matching import Suitability
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats, positions
from planner.engine.workload.batching import Hours
from planner.engine.workload.pools import Pools
from planner.engine.workload.site import AskedTest, Binding, Resource, SiteWorkload
from planner.engine.workload.volumes import Asked


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
        hours = np.array([model.hours_up for model in self.case.device_models])
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
