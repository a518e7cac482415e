"""Hours needed and hours there are, at all sites at once; and how far they go.

Letters for shapes: S sites, M methods, N distinct needs, P pools of machines.
"""

from collections.abc import Mapping

import numpy as np

from planner.engine.capacity import WORKING_DAYS_PER_YEAR
from planner.engine.case import Case, Result
from planner.engine.coverage.assessment import Assessment
from planner.engine.matching import Suitability, suitability
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats
from planner.engine.workload.batching import Batching, Hours, hours_of
from planner.engine.workload.found import Workload
from planner.engine.workload.pools import Pools, pool_shares, pools_of
from planner.engine.workload.volumes import asked_of_result, asked_today, units_of


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
    per_unit = np.array([model.hours_up for model in case.device_models])
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
