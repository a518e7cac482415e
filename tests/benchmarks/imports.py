"""How long a workbook of many rows takes to be looked at, applied, undone and written out.

    python tests/benchmarks/imports.py [ROWS]

Loads the shipped catalogue into an SQLite file of its own and adds invented sites with a
hundred devices each, first as new rows, then with another condition each. Every step runs in
a process of its own. Prints seconds by the clock, seconds that the processor was busy, the most
memory, and the ratio to saving row by row.
"""

import multiprocessing
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ["PLANNER_VAR_DIR"] = tempfile.mkdtemp(prefix="planner-imports-")
os.environ["DJANGO_SETTINGS_MODULE"] = "planner.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connections, transaction  # noqa: E402

from apps.accounts.models import User  # noqa: E402
from apps.catalogue.models import DeviceModel  # noqa: E402
from apps.facilities.models import Area, Facility  # noqa: E402
from apps.imports.adapters.register_rows import places_of, rows_in, values_of  # noqa: E402
from apps.imports.adapters.tables import TABLES  # noqa: E402
from apps.imports.adapters.workbook_lists import Lists  # noqa: E402
from apps.imports.adapters.workbook_writing import SurveyBook  # noqa: E402
from apps.imports.exports import REGISTER, survey_workbook, table_csv, tables_xlsx  # noqa: E402
from apps.imports.models import Upload, Workbook  # noqa: E402
from apps.imports.services import (  # noqa: E402
    apply_upload,
    carry_out_upload,
    read_upload,
    receive_upload,
    take_back_upload,
    undo_upload,
)
from apps.inventory.models import EquipmentItem  # noqa: E402

ROWS, AT_A_SITE, ONE_BY_ONE = 200_000, 100, 2_000
EQUIPMENT = TABLES["equipment.csv"]
Step = Callable[[], Any]


def make_sites(count: int) -> Area:
    district = Area.objects.create(code="bench", name="Bench", kind="district")
    blocks = [
        Area.objects.create(code=f"bench-{at}", name=f"Block {at}", kind="block", parent=district)
        for at in range(count // 20 + 1)
    ]
    Facility.objects.bulk_create(
        Facility(code=f"site-{at}", name=f"Site {at}", area=blocks[at // 20], level=1,
                 latitude=at / 1e4, longitude=0)
        for at in range(count)
    )  # fmt: skip
    return district


def new_rows(count: int) -> Iterator[tuple[Any, ...]]:
    """Rows of the equipment sheet: what a device is follows from its number alone."""
    models = list(DeviceModel.objects.values_list("code", flat=True))
    for at in range(count):
        told = {
            "code": f"item-{at}",
            "facility": f"site-{at // AT_A_SITE}",
            "device_model": models[at % len(models)],
            "serial_number": f"SN{at:08d}",
            "condition": "in_use",
            "basis": "observed",
        }
        yield tuple(told.get(name) for name in EQUIPMENT.sheet.columns)


def changed_rows(by: User, district: Area) -> Iterator[tuple[Any, ...]]:
    """What the register says, each device with another condition."""
    at = EQUIPMENT.sheet.columns.index("condition")
    rows = rows_in(EQUIPMENT, places_of(by, district))
    for row in values_of(EQUIPMENT, rows):
        yield (*row[:at], "idle" if row[at] == "in_use" else "in_use", *row[at + 1 :])


def workbook(by: User, district: Area, rows: Iterator[tuple[Any, ...]], key: str = "") -> bytes:
    book = SurveyBook("Bench", Lists(places_of(by, district)), row_count=ROWS)
    book.add(EQUIPMENT, rows)
    if key:
        book.mark(key, "", "")
    return book.content()


def measured(name: str, step: Step) -> float:
    """Seconds of ``step`` in a process of its own, printed with those that the processor was
    busy with it, and its most memory."""
    connections.close_all()
    context = multiprocessing.get_context("fork")
    mine, its = context.Pipe(duplex=False)

    def run() -> None:
        begun = time.perf_counter()
        step()
        used = resource.getrusage(resource.RUSAGE_SELF)
        its.send(
            (time.perf_counter() - begun, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
        )

    process = context.Process(target=run)
    process.start()
    spent, busy, megabytes = mine.recv()
    process.join()
    print(f"{name:40} {spent:7.1f} s {busy:7.1f} s busy {megabytes:7.0f} MB", flush=True)
    return spent


def one_by_one() -> float:
    """Seconds that the usual way takes for one row: look it up, change it, save it."""
    codes = [f"item-{at}" for at in range(ONE_BY_ONE)]
    begun = time.perf_counter()
    with transaction.atomic():
        for code in codes:
            item = EquipmentItem.objects.select_related("facility").get(code=code)
            item.note = "seen"
            item.full_clean()
            item.save()
        transaction.set_rollback(True)
    return (time.perf_counter() - begun) / ONE_BY_ONE


def take_in(name: str, content: bytes, district: Area, by: User) -> tuple[Upload, float, float]:
    upload = receive_upload(file_name=f"{name}.xlsx", content=content, area=district, by=by)
    size = f"{len(content) / 2**20:.0f} MB"
    looked = measured(f"preview of {name} ({size})", lambda: read_upload(upload.pk))
    upload.refresh_from_db()
    print(f"    {upload.state} {upload.message} {upload.counts}")
    apply_upload(upload=upload, by=by)
    applied = measured(f"apply {name}", lambda: carry_out_upload(upload.pk))
    upload.refresh_from_db()
    print(f"    {upload.state} {upload.message} {upload.outcome}")
    return upload, looked, applied


def main(rows: int) -> None:
    call_command("migrate", verbosity=0)
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    by = User.objects.create_superuser("bench", password="bench")
    district = make_sites(rows // AT_A_SITE)
    print(f"{rows} rows of equipment, {rows // AT_A_SITE} sites")
    _, looked, applied = take_in("new rows", workbook(by, district, new_rows(rows)), district, by)
    measured("survey workbook", lambda: survey_workbook(area=district, by=by))
    measured("table as XLSX", lambda: tables_xlsx(by, district, ("equipment.csv",)))
    sheet = REGISTER["equipment.csv"]
    measured("table as CSV", lambda: table_csv(sheet, user=by, area=district))
    key = Workbook.objects.latest("pk").key
    upload, looked_again, changed = take_in(
        "changed rows", workbook(by, district, changed_rows(by, district), key), district, by
    )
    undo_upload(upload=upload, by=by)
    measured("undo", lambda: take_back_upload(upload.pk))
    upload.refresh_from_db()
    print(f"    {upload.state} {upload.message}")
    usual = one_by_one() * rows
    print(f"saving row by row: {usual:.0f} s, taken from {ONE_BY_ONE} rows")
    print(f"    preview and apply together: {usual / (looked + applied):.1f} times as fast for")
    print(f"    new rows, {usual / (looked_again + changed):.1f} times for changed rows")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else ROWS)
