"""How long a register takes to become a planning case, and its findings to be kept.

    python tests/benchmarks/freezing.py [SITES ...]

Loads the shipped catalogue into an SQLite file of its own, adds an invented register of the
given sizes with every test asked for everywhere, and compares freezing with the same reading
row by row as model objects. Prints seconds of this machine, and ratios.
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ["PLANNER_VAR_DIR"] = tempfile.mkdtemp(prefix="planner-freezing-")
os.environ["DJANGO_SETTINGS_MODULE"] = "planner.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402

from apps.catalogue.models import DeviceModel, Infrastructure, LabTest, Skill  # noqa: E402
from apps.coverage.adapters import SecondLook, findings, freeze_as_it_stands  # noqa: E402
from apps.coverage.services import keep_document, refresh_coverage  # noqa: E402
from apps.demand.models import Demand  # noqa: E402
from apps.facilities.models import Area, Facility, ReferralRoute  # noqa: E402
from apps.inventory.models import EquipmentItem, InfrastructureHeld, SkillHeld  # noqa: E402

SIZES = (300, 3000)
BATCH = 2000
Answer = TypeVar("Answer")


def make_register(code: str, sites: int) -> Area:
    """A district of blocks of ten sites; what a site holds follows from its number alone."""
    district = Area.objects.create(code=code, name=code, kind="district")
    blocks = [
        Area.objects.create(code=f"{code}-{number}", name="x", kind="block", parent=district)
        for number in range(sites // 10)
    ]
    facilities = Facility.objects.bulk_create(
        Facility(
            code=f"{code}-site-{number}", name=f"Site {number}", area=blocks[number // 10],
            level=1 + number % 3, latitude=number / 1e4, longitude=0, population=5000,
            testing_hours_per_year=1000,
        )
        for number in range(sites)
    )  # fmt: skip
    tests = list(LabTest.objects.all())
    Demand.objects.bulk_create(
        (
            Demand(facility=site, test=test, tests_per_year=100, basis="demo", year=2026)
            for site in facilities
            for test in tests
        ),
        batch_size=BATCH,
    )
    _hold(facilities)
    return district


def _hold(facilities: list[Facility]) -> None:
    models, skills = list(DeviceModel.objects.all()), list(Skill.objects.all())
    items = list(Infrastructure.objects.all())
    EquipmentItem.objects.bulk_create(
        (
            EquipmentItem(code=f"{site.code}-{at}", facility=site, condition="in_use",
                          device_model=models[(number * 7 + at * 11) % len(models)])
            for number, site in enumerate(facilities)
            for at in range(6)
        ),
        batch_size=BATCH,
    )  # fmt: skip
    SkillHeld.objects.bulk_create(
        (
            SkillHeld(facility=site, skill=skill, staff_count=(number + at) % 3)
            for number, site in enumerate(facilities)
            for at, skill in enumerate(skills)
        ),
        batch_size=BATCH,
    )
    InfrastructureHeld.objects.bulk_create(
        (
            InfrastructureHeld(facility=site, infrastructure=item,
                               presence=("present", "absent", "unknown")[(number + at) % 3])
            for number, site in enumerate(facilities)
            for at, item in enumerate(items)
        ),
        batch_size=BATCH,
    )  # fmt: skip
    ReferralRoute.objects.bulk_create(
        ReferralRoute(origin=site, destination=facilities[number // 10 * 10], hours=2,
                      cost_per_specimen=1)
        for number, site in enumerate(facilities)
        if number % 10
    )  # fmt: skip


def as_objects(district: Area) -> int:
    """The same rows as model objects with all that hangs on them; how many there are."""
    sites = Facility.objects.within(district.path).prefetch_related(
        "demands__test", "equipmentitems__device_model", "skillhelds__skill",
        "infrastructurehelds__infrastructure", "routes_out__destination",
    )  # fmt: skip
    return sum(
        len(site.demands.all()) + len(site.equipmentitems.all()) + len(site.skillhelds.all())
        + len(site.infrastructurehelds.all()) + len(site.routes_out.all())
        for site in sites
    )  # fmt: skip


def timed(work: Callable[[], Answer]) -> tuple[float, Answer]:
    start = time.perf_counter()
    answer = work()
    return time.perf_counter() - start, answer


def measure(sites: int) -> None:
    district = make_register(f"size-{sites}", sites)
    freezing, frozen = timed(lambda: freeze_as_it_stands(district))
    objects, rows = timed(lambda: as_objects(district))
    look, second = timed(lambda: SecondLook.at(frozen.case, frozen.unknowns))
    names = {method.code: method.code for method in frozen.case.methods}
    words, found = timed(lambda: sum(1 for _ in findings(second, names)))
    keeping, _ = timed(lambda: keep_document(frozen.case.to_json()))
    whole, _ = timed(lambda: refresh_coverage(area=district, by=None))
    print(f"{sites} sites x {len(frozen.case.tests)} tests, {rows} rows")
    print(f"  freezing {freezing:.2f} s; as model objects {objects / freezing:.1f} times that")
    print(f"  keeping the case {keeping:.2f} s")
    print(f"  assessing twice {look:.2f} s, in words {words:.2f} s for {found} cells")
    print(f"  a whole refresh, with the rows written, {whole:.2f} s")


def main() -> None:
    call_command("migrate", verbosity=0)
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    for sites in [int(text) for text in sys.argv[1:]] or SIZES:
        measure(sites)


if __name__ == "__main__":
    main()
