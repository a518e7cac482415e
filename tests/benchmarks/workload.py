"""How long the workload of a country takes, against plain loops over the same case.

    python tests/benchmarks/workload.py [SITES TESTS]...

Default size: 3 000 sites x 69 tests, every method in batches. Prints the seconds for all
sites at once, those for the figures of every single site, those of plain loops that come
to the staff and machine hours alone, the ratio, and how far any two of the hours differ.
"""

import math
import sys
import time
from collections import defaultdict
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.case import Case
from planner.engine.coverage import Coverage, assess
from planner.engine.workload import Batching, Run, Workload, workload
from tests.benchmarks.generator import generate_case

SIZES = [(3000, 69)]
SEED, HUBS_PER_SITE, DAYS = 1, 3, 250.0
REPEATS = 5


def batches(case: Case) -> dict[str, Batching]:
    """Batches of ten: 20 min for each, 3 min a sample, runs of 15 min with 8 places."""
    return {
        method.code: Batching(10, 20, 3, tuple(Run(15, 8) for _ in method.needs))
        for method in case.methods
    }


def plain_hours(case: Case, coverage: Coverage) -> list[tuple[float, dict[str, float]]]:
    """Staff hours and machine hours by class of each site, cell by cell."""
    referral_site = coverage.referral_site  # looked up once: it is worked out on each asking
    asked: list[defaultdict[int, float]] = [defaultdict(float) for _ in case.sites]
    for site, row in enumerate(case.sites):
        for test, each in enumerate(case.tests):
            method = coverage.method[site, test]
            if each.code in row.demand and method >= 0:
                away = referral_site[site, test]
                asked[away if away >= 0 else site][int(method)] += row.demand[each.code]
    return [_of_site(case, volumes) for volumes in asked]


def _of_site(case: Case, volumes: dict[int, float]) -> tuple[float, dict[str, float]]:
    staff, machines = 0.0, defaultdict(float)
    for position, volume in volumes.items():
        if volume <= 0:
            continue
        batched = min(volume, DAYS * math.ceil(round(volume / DAYS / 10, 9)))
        runs = min(volume, DAYS * math.ceil(round(volume / DAYS / 8, 9)))
        staff += (batched * 20 + volume * 3) / 60
        for need in case.methods[position].needs:
            machines[need.device_class] += runs * 15 / 60
    return staff, machines


def furthest_apart(found: Workload, plain: list[tuple[float, dict[str, float]]]) -> float:
    """The largest difference of any two hours, in hours."""
    classes = [need.device_class for need in found.suitability.needs]
    apart = 0.0
    for site, (staff, machines) in enumerate(plain):
        by_class: defaultdict[str, float] = defaultdict(float)
        for name, hours in zip(classes, found.need_load[site], strict=True):
            by_class[name] += hours
        apart = max(apart, abs(staff - found.staff_needed[site]))
        apart = max([apart, *(abs(machines[name] - by_class[name]) for name in by_class)])
    return apart


def main(sizes: list[tuple[int, int]]) -> None:
    print("sites tests  arrays s  single sites s  loops s  ratio  hours apart")
    for sites, tests in sizes:
        case = generate_case(sites, tests, SEED, HUBS_PER_SITE)
        coverage, batching = assess(case), batches(case)
        taken = []
        for _ in range(REPEATS):
            start = time.perf_counter()
            found = workload(case, coverage, batching=batching, days_per_year=DAYS)
            taken.append(time.perf_counter() - start)
        start = time.perf_counter()
        for site in case.sites:
            found.at(site.code)
        single = time.perf_counter() - start
        start = time.perf_counter()
        plain = plain_hours(case, coverage)
        loops = time.perf_counter() - start
        best = float(np.median(taken))
        print(
            f"{sites:5} {tests:5} {best:9.3f} {single:15.2f} {loops:8.2f} {loops / best:6.1f}"
            f" {furthest_apart(found, plain):12.2g}"
        )


if __name__ == "__main__":
    numbers = [int(text) for text in sys.argv[1:]]
    main(list(zip(numbers[::2], numbers[1::2], strict=True)) or SIZES)
