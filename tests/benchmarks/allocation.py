"""How long a district's plan takes, part by part, and how close to the optimum it comes.

    python tests/benchmarks/allocation.py [SEED ...]

80 sites x 60 tests, to a gap of 0.1 % without links (aim: under 60 s) and to 2 % with five
hubs for every site (aim: under 300 s). Default seeds: 1 2 3. Prints the size of the program,
seconds for building it and for each phase of ``plan``, the gap, and what the independent
judge says. The last lines are a ratio: the plain statement against the tight program, each
solved by CBC without links and to the same gap.
"""

import sys
import time
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

import pulp
from pulp.apis.coin_api import COIN_CMD, pulp_cbc_path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.allocation import Progress, plan
from planner.engine.allocation.backend import cbc
from planner.engine.allocation.formulation import stated
from planner.engine.allocation.instance import instance_of
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.tight import tight_model
from planner.engine.allocation.verify import verify
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case

SITES, TESTS = 80, 60
TARGETS = ((0, 0.001, 60.0), (5, 0.02, 300.0))  # hubs for every site, gap, seconds
PATIENCE_SECONDS = 600


def measure(seed: int, hubs: int, gap: float, seconds: float) -> None:
    case = generate_case(SITES, TESTS, seed, hubs)
    start = time.perf_counter()
    model = tight_model(instance_of(case))
    building = time.perf_counter() - start
    reports: list[Progress] = []
    start = time.perf_counter()
    result = plan(case, gap=gap, seconds=seconds, progress=reports.append)
    total = time.perf_counter() - start
    rows, columns, entries = model.program.size
    print(f"seed {seed}, {len(case.links)} links: {rows} rows x {columns} columns,")
    print(f"  {int(model.program.whole.sum())} whole, {entries} entries; built in {building:.2f} s")
    print(f"  plan {total:.1f} s: {phases(reports, total)}")
    print(f"  {result.status}, objective {result.objective:.1f}, bound {result.bound:.1f},", end="")
    print(f" gap {result.gap:.3%} of {gap:.1%}; {len(verify(case, result))} violations")


def phases(reports: list[Progress], total: float) -> str:
    """Seconds spent in each phase, in order."""
    spent: dict[str, float] = defaultdict(float)
    for earlier, later in pairwise(reports):
        spent[earlier.phase] += later.seconds - earlier.seconds
    spent[reports[-1].phase] += total - reports[-1].seconds
    return ", ".join(f"{phase} {seconds:.2f}" for phase, seconds in spent.items())


def compare(case: Case, gap: float) -> None:
    start = time.perf_counter()
    problem = stated(case).problem
    problem.solve(COIN_CMD(path=pulp_cbc_path, msg=False, gapRel=gap, timeLimit=PATIENCE_SECONDS))
    plain = time.perf_counter() - start
    start = time.perf_counter()
    model = tight_model(instance_of(case))
    answer = cbc.maximise(model.program, Watch(PATIENCE_SECONDS), gap=gap)
    tight = time.perf_counter() - start
    print(f"plain statement, CBC: {plain:.1f} s, objective {pulp.value(problem.objective):.1f}")
    print(f"tight program, CBC:   {tight:.1f} s, objective {answer.value:.1f}")
    print(f"ratio: {plain / tight:.1f}")


def main() -> None:
    seeds = [int(each) for each in sys.argv[1:]] or [1, 2, 3]
    for hubs, gap, seconds in TARGETS:
        for seed in seeds:
            measure(seed, hubs, gap, seconds)
    compare(generate_case(SITES, TESTS, seeds[0]), TARGETS[0][1])


if __name__ == "__main__":
    main()
