"""How long plans for a country take, how close to the optimum they come, in what memory.

    python tests/benchmarks/national.py [SITES ...]

60 tests, to a gap of 0.01 %. Default sites: 600 3000 30000. Each size is planned twice: with
one budget only, and with earmarks, running money, trainer days and floors; each in a process
of its own, so that its memory is its own. Aims on two cores: 600 in 10 s, 3 000 in 60 s,
30 000 in 600 s and 2 GB. Compiled code is taken from its cache, which the first run fills.

Seconds are by the clock and, in brackets, of processors: where others use the machine too,
the clock runs on while we wait. The last line compares with one program for all sites of 600,
solved in the same run to the same gap or for ``PATIENCE_SECONDS``.
"""

import json
import resource
import subprocess
import sys
import time
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.allocation import Progress, plan
from planner.engine.allocation.national import route
from planner.engine.case import Case
from tests.benchmarks.generator import generate_case

TESTS, SEED, GAP = 60, 1, 1e-4
SIZES = (600, 3000, 30_000)
COMPARED = 600
ONE_BUDGET, ALL_LIMITS, ONE_PROGRAM = "one budget", "all limits", "all limits, one program"
PATIENCE_SECONDS, SECONDS = 300.0, 3600.0


def measured(sites: int, kind: str) -> dict[str, float]:
    """One plan: seconds by the clock and of processors, objective, gap, gigabytes."""
    case = generate_case(sites, TESTS, SEED)
    if kind == ONE_BUDGET:
        case = with_one_budget(case)
    if kind == ONE_PROGRAM:
        route.SPLIT_FROM = sites + 1
    reports: list[Progress] = []
    clock, processors = time.perf_counter(), time.process_time()
    result = plan(
        case,
        gap=GAP,
        seconds=PATIENCE_SECONDS if kind == ONE_PROGRAM else SECONDS,
        progress=reports.append,
    )
    clock, processors = time.perf_counter() - clock, time.process_time() - processors
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{sites} sites, {kind}: {clock:.1f} s ({processors:.1f} s), ", end="")
    print(f"objective {result.objective:.0f}, gap {result.gap:.1e}, {memory:.2f} GB")
    print(f"  {phases(reports, clock)}", flush=True)
    return {"clock": clock, "processors": processors, "gap": result.gap, "memory": memory}


def with_one_budget(case: Case) -> Case:
    """The same country, where nothing is shared but capital."""
    limits = case.limits.model_copy(
        update={"earmarks": {}, "recurrent": None, "trainer_days": None}
    )
    areas = tuple(area.model_copy(update={"floor": 0.0}) for area in case.areas)
    return case.model_copy(update={"limits": limits, "areas": areas})


def phases(reports: list[Progress], total: float) -> str:
    """Seconds by the clock in each phase, in order."""
    spent: dict[str, float] = defaultdict(float)
    for earlier, later in pairwise(reports):
        spent[earlier.phase] += later.seconds - earlier.seconds
    spent[reports[-1].phase] += total - reports[-1].seconds
    return ", ".join(f"{phase} {seconds:.1f}" for phase, seconds in spent.items())


def in_a_process(sites: int, kind: str) -> dict[str, float]:
    """The same in a process of its own."""
    command = [sys.executable, __file__, "--one", str(sites), kind]
    lines = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603
    *told, figures = lines.stdout.splitlines()
    print("\n".join(told), flush=True)
    return json.loads(figures)


def main() -> None:
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measured(int(sys.argv[2]), sys.argv[3])))
        return
    in_a_process(60, ONE_BUDGET)  # fills the cache of compiled code
    sizes = [int(each) for each in sys.argv[1:]] or SIZES
    found = {
        (sites, kind): in_a_process(sites, kind)
        for sites in sizes
        for kind in (ONE_BUDGET, ALL_LIMITS)
    }
    if COMPARED in sizes:
        split, whole = found[COMPARED, ALL_LIMITS], in_a_process(COMPARED, ONE_PROGRAM)
        print(f"one program against site by site at {COMPARED}: ", end="")
        print(f"{whole['clock'] / split['clock']:.0f} times the seconds by the clock, ", end="")
        print(
            f"{whole['processors'] / split['processors']:.0f} times those of processors, ", end=""
        )
        print(f"gap {whole['gap']:.1e} against {split['gap']:.1e}")


if __name__ == "__main__":
    main()
