"""How long coverage of a country takes, against plain loops over the same case.

    python tests/benchmarks/sites_and_tests.py [SITES TESTS]...

Default sizes: 3 000 sites x 60 tests. Prints for each size the seconds for the arrays (the
case is read already) and for the table of text, the peak of memory, the seconds of the
plain loops, their ratio to the arrays, and how many cells differ (there should be none).
Also how long matching takes for hundreds of needs and models.
"""

import sys
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.case import Case
from planner.engine.coverage import assess
from planner.engine.matching import suitability
from planner.engine.tables import case_tables
from tests.benchmarks.generator import generate_case
from tests.factories.cases import case, device_model, lab_test, method, need, serves
from tests.independent.plain_coverage import PlainCoverage, as_plain

SIZES = [(3000, 60)]
SEED, HUBS_PER_SITE, UNKNOWN_SHARE = 1, 3, 0.2
Answer = TypeVar("Answer")


def country(sites: int, tests: int) -> Case:
    """An invented country in which a fifth of the device models lack their specifications."""
    known = generate_case(sites, tests, SEED, HUBS_PER_SITE)
    draw = np.random.default_rng(SEED)
    models = tuple(
        model.model_copy(
            update={"serves": tuple(role.model_copy(update={"specs": {}}) for role in model.serves)}
        )
        if draw.random() < UNKNOWN_SHARE
        else model
        for model in known.device_models
    )
    return known.model_copy(update={"device_models": models})


def catalogue(needs: int, models: int, classes: int = 10) -> Case:
    """Distinct needs of three conditions each, and models with all three specifications."""
    draw = np.random.default_rng(SEED)
    names = [f"class-{number}" for number in range(classes)]
    offered = [
        device_model(
            f"model-{number}",
            serves(
                str(draw.choice(names)),
                rcf_g=float(draw.uniform(0, 9)),
                na=float(draw.random()),
                wavelengths_nm=draw.integers(0, 9, 3).tolist(),
            ),
        )
        for number in range(models)
    ]
    asked = [
        need(
            str(draw.choice(names)),
            rcf_g={"min": float(draw.uniform(0, 9))},
            na={"between": [float(draw.random()) / 2, 0.9]},
            wavelengths_nm={"has": [int(draw.integers(0, 9))]},
        )
        for _ in range(needs)
    ]
    return case(device_models=offered, tests=[lab_test("t")], methods=[method("m", "t", *asked)])


def timed(work: Callable[[], Answer], *, runs: int) -> tuple[float, Answer]:
    """The best of several runs: what the work needs when nothing disturbs it."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - start)
    return min(times), answer


def measure(sites: int, tests: int) -> None:
    built = country(sites, tests)
    arrays, coverage = timed(lambda: assess(built), runs=3)
    text, table = timed(coverage.table, runs=1)
    plain, cells = timed(lambda: PlainCoverage(built).cells(), runs=1)
    found = as_plain(coverage)
    size = f"{sites} sites x {tests} tests x {len(built.methods)} methods"
    print(f"{size}, {len(built.device_models)} models, {len(built.stock)} lines of stock")
    print(f"  states: {table['state'].value_counts().to_dict()}")
    print(f"  arrays {arrays:.2f} s, table {text:.2f} s")
    print(f"  peak memory {peak_gb(lambda: assess(built)):.2f} GB beside the case")
    print(f"  plain loops {plain:.2f} s: {plain / arrays:.0f} times the arrays")
    reading, _ = timed(lambda: case_tables(built), runs=3)
    print(
        f"  of the arrays {reading:.2f} s go into copying the case into them;"
        f" the plain loops take {plain / (arrays - reading):.0f} times the rest"
    )
    print(f"  cells that differ: {sum(found[key] != cells[key] for key in cells)} of {len(cells)}")


def peak_gb(work: Callable[[], object]) -> float:
    """The most that ``work`` holds at one time, arrays included."""
    tracemalloc.start()
    work()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak / 1e9


def main() -> None:
    needs, models = 300, 300
    built = catalogue(needs, models)
    seconds, _ = timed(lambda: suitability(built), runs=3)
    print(f"matching {needs} needs x {models} models: {1000 * seconds:.0f} ms")
    numbers = [int(each) for each in sys.argv[1:]]
    for sites, tests in list(zip(numbers[::2], numbers[1::2], strict=True)) or SIZES:
        measure(sites, tests)


if __name__ == "__main__":
    main()
