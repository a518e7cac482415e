"""Workload against linear programs that share out machine hours one by one.

Reference: ``scipy.optimize.linprog``. The engine never shares hours out; it compares sums
over pools of machines (Hall's condition), which must come to the same.
"""

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.engine.allocation import plan
from planner.engine.case import Case
from planner.engine.coverage import assess
from planner.engine.workload import Workload, workload
from tests.independent.random_cases import crowded_case, random_case

CASES = [*map(random_case, range(60)), *map(crowded_case, range(60))]


def unit_hours(case: Case, found: Workload, site: int) -> np.ndarray:
    return found.working[site] * [model.hours_up for model in case.device_models]


def largest_share(found: Workload, load: np.ndarray, hours: np.ndarray) -> float:
    """The largest λ for which λ · load fits into the hours; hours by (need, model), then λ."""
    needs = np.flatnonzero(load)
    pairs = [(n, d) for n in needs for d in np.flatnonzero(found.suitability.suits[n])]
    met = np.array([[float(n == need) for n, _ in pairs] for need in needs])
    used = np.array([[float(d == model) for _, d in pairs] for model in range(len(hours))])
    answer = linprog(
        [*np.zeros(len(pairs)), -1.0],
        A_eq=np.column_stack([met.reshape(len(needs), len(pairs)), -load[needs]]),
        b_eq=np.zeros(len(needs)),
        A_ub=np.column_stack([used.reshape(len(hours), len(pairs)), np.zeros(len(hours))]),
        b_ub=hours,
        bounds=(0, None),
    )
    assert answer.status == 0, answer.message
    return -answer.fun


def loads_of(found: Workload) -> list[int]:
    return [site for site, load in enumerate(found.need_load) if load.any()]


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_machines_run_out_at_the_share_at_which_no_sharing_of_hours_is_left(case):
    found = workload(case, assess(case))

    assert found.pools.is_exact
    for site in loads_of(found):
        expected = largest_share(found, found.need_load[site], unit_hours(case, found, site))
        assert found.pool_share[site].min() == pytest.approx(expected, rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_what_is_said_to_be_doable_fits_into_the_hours_of_staff_and_machines(case):
    found = workload(case, assess(case))

    staff = found.doable @ [method.staff_hours for method in case.methods]
    assert (staff <= found.staff_available * (1 + 1e-9) + 1e-9).all()
    for site in loads_of(found):
        load = done_load(case, found, site)
        if load.any():
            assert largest_share(found, load, unit_hours(case, found, site)) >= 1 - 1e-7


def done_load(case: Case, found: Workload, site: int) -> np.ndarray:
    load = np.zeros(len(found.suitability.needs))
    for method, needs in enumerate(found.suitability.method_needs):
        for need, stated in zip(needs, case.methods[method].needs, strict=True):
            load[need] += found.doable[site, method] * stated.hours
    return load


@pytest.mark.parametrize("seed", range(20))
def test_a_plan_is_never_short_of_the_time_it_counts_with(seed):
    """The optimiser shares hours out by its own rows; its judge accepts what it plans."""
    case = crowded_case(seed)
    planned = plan(case, gap=0.0)

    found = workload(case, planned)

    assert (found.staff_share >= 1 - 1e-7).all()
    assert (found.pool_share >= 1 - 1e-7).all()
    done = sum(volume.per_year for volume in planned.volumes)
    assert found.doable.sum() == pytest.approx(done, rel=1e-6)


def test_the_cases_have_sites_where_machines_bind_and_where_staff_do():
    found = [workload(case, assess(case)) for case in CASES]
    machines = sum(((each.pool_share < 1).any(axis=1)).sum() for each in found)
    staff = sum((each.staff_share < 1).sum() for each in found)

    assert machines >= 20
    assert staff >= 20
