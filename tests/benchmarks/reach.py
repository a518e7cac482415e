"""How long the reach of a country takes, against measuring every pair one by one.

    python tests/benchmarks/reach.py [SITES]

Default: 3 000 sites, all of which can be the nearest (3 000 x 3 000 pairs). Prints the seconds of
``reach`` with and without a table of travel times, the peak of memory, the seconds of a plain
loop over a share of the sites scaled to all, their ratio, and how many distances differ.
"""

import sys
import time
import tracemalloc
from pathlib import Path

import numpy as np
from pyproj import Geod

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.access import TravelTable, reach

SITES, LOOPED, MEASURED_PER_SITE, SEED = 3000, 20, 50, 1


def main(sites: int) -> None:
    draw = np.random.default_rng(SEED)
    north, east = draw.uniform(-5, 5, sites), draw.uniform(20, 30, sites)
    people = draw.integers(100, 9000, sites).astype(float)
    capable = draw.random(sites) < 0.5
    measured = MEASURED_PER_SITE * sites
    table = TravelTable.of(
        draw.integers(0, sites, measured),
        draw.integers(0, sites, measured),
        draw.uniform(0.2, 5, measured),
    )
    tracemalloc.start()
    for words, given in (("no table", None), (f"{measured} measured ways", table)):
        start = time.perf_counter()
        found = reach(north, east, people, capable, table=given)
        print(f"{words}: {time.perf_counter() - start:.3f} s")
    peak_mb = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    start = time.perf_counter()
    found = reach(north, east, people, capable)
    quick_s = time.perf_counter() - start
    start = time.perf_counter()
    slow = [_nearest_km(at, north, east, capable) for at in range(LOOPED)]
    slow_s = (time.perf_counter() - start) * sites / LOOPED
    differ = int((np.abs(found.straight_km[:LOOPED] - slow) > 1e-9).sum())
    print(f"peak {peak_mb:.0f} MB; plain loop {slow_s:.1f} s for all, {slow_s / quick_s:.0f} times")
    print(f"{differ} of {LOOPED} distances differ")


def _nearest_km(at: int, north: np.ndarray, east: np.ndarray, capable: np.ndarray) -> float:
    if capable[at]:
        return 0.0
    geod = Geod(ellps="WGS84")
    return min(
        geod.inv(east[at], north[at], east[to], north[to])[2] / 1000
        for to in np.flatnonzero(capable)
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SITES)
