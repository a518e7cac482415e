"""How long a study of a plan under many futures takes, with one process and with two.

    python tests/benchmarks/robustness.py [DRAWS [SITES]]

80 sites x 60 tests without links, 200 draws, the plan and four others in each (aims on two
idle cores: 120 s with two processes, 1.8 times as fast as with one). Both are run one
after the other, with workers of one thread; starting them is counted. Where others use the
machine too, both take longer and the ratio is smaller: the load is printed beside it.
"""

import os
import sys
import time
from pathlib import Path

# In place of this folder, whose coverage.py Numba would take for the library.
sys.path.pop(0)
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.allocation import plan
from planner.engine.allocation.robustness import Robustness, robustness
from planner.engine.case import Case, Result
from planner.engine.fanout import Processes
from tests.benchmarks.generator import generate_case

TESTS, SEED, GAP = 60, 1, 0.001


def measured(case: Case, result: Result, draws: int, processes: int) -> tuple[float, Robustness]:
    """Seconds by the clock, and what was found."""
    load = os.getloadavg()[0]
    start = time.perf_counter()
    found = robustness(case, result, draws=draws, seed=SEED, team=Processes(processes))
    seconds = time.perf_counter() - start
    print(
        f"{processes} processes: {seconds:.1f} s; load of the machine {load:.1f} before, ", end=""
    )
    print(f"{os.getloadavg()[0]:.1f} after", flush=True)
    return seconds, found


def main() -> None:
    draws, sites = ([int(each) for each in sys.argv[1:]] + [200, 80][len(sys.argv) - 1 :])[:2]
    case = generate_case(sites, TESTS, SEED)
    result = plan(case, gap=GAP)
    two, found = measured(case, result, draws, 2)
    one, again = measured(case, result, draws, 1)
    print(f"{sites} sites, {draws} draws: {one / two:.2f} times as fast with two processes")
    print(f"the same answers: {'yes' if found == again else 'NO'}")
    regret, standing = found.regret, [each.standing for each in found.actions if each.planned]
    print(f"regret {regret.mean:.1%} +- {regret.half_width:.1%}, P50 {regret.p50:.1%}, ", end="")
    print(f"P90 {regret.p90:.1%}; overspent in {found.overspent:.0%}")
    print(f"{standing.count('safe')} of {len(standing)} actions are safe to order now")
    for each in found.candidates:
        print(f"  {each.source}: worst tenth {each.worst_tenth:,.0f}, mean {each.worth.mean:,.0f}")


if __name__ == "__main__":
    main()
