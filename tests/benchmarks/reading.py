"""How long reading a large case takes, as a multiple of merely parsing its JSON.

    python tests/benchmarks/reading.py

3 000 sites and 60 tests: the size of a country's primary care. Prints, for a valid case
and for one with a mistake in every demand, seconds and the ratio to ``json.loads``.
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from planner.engine.case import Case
from planner.engine.errors import InputError

EXAMPLE = Path(__file__).resolve().parents[2] / "fixtures" / "cases" / "three-sites.json"
SITES, TESTS = 3000, 60


def large_case(demand: Any) -> str:
    """JSON text of the example, its first site and test copied until the size is reached."""
    case = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    [site, *_], [test, *_], [link, *_] = case["sites"], case["tests"], case["links"]
    tests = [{**test, "code": f"test-{number}"} for number in range(TESTS)]
    wanted = {test["code"]: demand for test in tests}
    case["tests"] += tests
    sites = [{**site, "code": f"site-{n}", "demand": wanted} for n in range(SITES)]
    case["sites"] += sites
    case["links"] += [{**link, "from": site["code"]} for site in sites]
    return json.dumps(case)


def seconds(work: Callable[[], object]) -> float:
    """The best of three runs: what the work needs when nothing disturbs it."""
    times = []
    for _ in range(3):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def refused(text: str) -> int:
    try:
        Case.read(text)
    except InputError as error:
        return error.count
    return 0


def main() -> None:
    good, bad = large_case(123.5), large_case("many")
    case = Case.read(good)
    parse = seconds(lambda: json.loads(good))
    print(f"{SITES} sites x {TESTS} tests, {len(good) / 1e6:.1f} MB; json.loads {parse:.3f} s")
    for name, work in (
        ("read, valid", lambda: Case.read(good)),
        (f"read, {refused(bad)} mistakes", lambda: refused(bad)),
        ("canonical SHA-256", case.sha256),
    ):
        taken = seconds(work)
        print(f"{name}: {taken:.3f} s, {taken / parse:.1f} times json.loads")


if __name__ == "__main__":
    main()
