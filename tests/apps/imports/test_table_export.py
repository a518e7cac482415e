"""Tables as CSV: the loader's own columns, safe to open, and the same when read in again."""

import csv
import io

import pytest
from django.core.management import call_command
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from apps.catalogue.models import DeviceModel
from apps.facilities.models import Area, Facility
from apps.imports.adapters.csv_cells import guarded, unguarded
from apps.imports.exports import CATALOGUE, REGISTER, table_csv
from apps.imports.services import load_catalogue, load_register
from apps.inventory.models import EquipmentItem
from planner.settings import ROOT
from tests.api.register import make_person
from tests.apps.imports.folders import CATALOGUE as SMALL_CATALOGUE
from tests.apps.imports.folders import REGISTER as SMALL_REGISTER
from tests.apps.imports.folders import write_folder

FORMULAS = ("=", "+", "-", "@", "\t", "\r")
TEXTS = st.text(
    st.sampled_from(["=", "+", "-", "@", "'", '"', ",", ";", "\n", "a", "é", "ক", "1", " "]),
    max_size=8,
).map(str.strip)


@pytest.fixture
def small(db, tmp_path):
    load_catalogue(folder=write_folder(tmp_path / "catalogue", SMALL_CATALOGUE), by=None)
    load_register(folder=write_folder(tmp_path / "register", SMALL_REGISTER), by=None)


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


def written(folder, sheets):
    folder.mkdir()
    for file, sheet in sheets.items():
        (folder / file).write_text(table_csv(sheet), encoding="utf-8", newline="")
    return folder


def test_a_table_has_the_columns_of_its_file_and_codes_for_references(small):
    head, row = cells(table_csv(REGISTER["equipment.csv"]))

    assert tuple(head) == REGISTER["equipment.csv"].columns
    assert {name: cell for name, cell in zip(head, row, strict=True) if cell} == {
        "code": "n-1", "facility": "hill", "device_model": "spinner", "condition": "in_use",
        "observed_on": "2026-01-15", "basis": "observed",
    }  # fmt: skip


def test_what_is_named_by_several_columns_is_written_in_all_of_them(small):
    rows = {
        file: cells(table_csv(CATALOGUE[file]))[1]
        for file in ("requirements.csv", "specifications.csv", "device_models.csv")
    }

    assert rows["requirements.csv"][:5] == ["spun", "1", "rcf_g", "min", "10000"]
    assert rows["specifications.csv"][:4] == ["spinner", "centrifuge", "rcf_g", "12000"]
    assert rows["device_models.csv"][4:10] == [
        "false", "900", "50", "120", "1500.0", "malaria;maternal",
    ]  # fmt: skip


def test_a_file_opens_with_the_right_letters(small):
    assert table_csv(REGISTER["areas.csv"]).encode().startswith(b"\xef\xbb\xbfcode,name")


def test_the_shipped_tables_written_and_read_in_again_change_nothing(db, tmp_path):
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    call_command("load_register", ROOT / "fixtures" / "demo", verbosity=0)

    catalogue = load_catalogue(folder=written(tmp_path / "catalogue", CATALOGUE), by=None)
    register = load_register(folder=written(tmp_path / "register", REGISTER), by=None)

    assert catalogue.nothing_changed
    assert register.nothing_changed


def test_tables_read_into_an_empty_register_come_out_the_same(small, tmp_path):
    before = {file: table_csv(sheet) for file, sheet in (CATALOGUE | REGISTER).items()}
    folders = written(tmp_path / "c", CATALOGUE), written(tmp_path / "r", REGISTER)
    # What rows owe each other is checked at the end of a transaction; a table is emptied before.
    connection.check_constraints()
    call_command("flush", interactive=False, verbosity=0)

    load_catalogue(folder=folders[0], by=None)
    load_register(folder=folders[1], by=None)

    assert {file: table_csv(sheet) for file, sheet in (CATALOGUE | REGISTER).items()} == before


@given(name=TEXTS.filter(bool), note=TEXTS)
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_is_the_same_when_its_table_is_read_in_again(small, tmp_path, name, note):
    Facility.objects.filter(code="hill").update(name=name)
    EquipmentItem.objects.update(note=note)
    folder = tmp_path / "again"
    folder.mkdir(exist_ok=True)
    for file in ("facilities.csv", "equipment.csv"):
        (folder / file).write_text(table_csv(REGISTER[file]), encoding="utf-8", newline="")
    Facility.objects.filter(code="hill").update(name="another")
    EquipmentItem.objects.update(note="another")

    load_register(folder=folder, by=None)

    assert Facility.objects.get(code="hill").name == name
    assert EquipmentItem.objects.get().note == note


@given(st.text(st.sampled_from("'=+-@a1"), max_size=5))
def test_a_cell_that_was_guarded_is_never_a_formula_and_comes_back(text):
    # What ``audit.exports.csv_text`` does to it after ``guarded``.
    cell = guarded(text)
    cell = f"'{cell}" if cell.startswith(FORMULAS) else cell

    assert not cell.startswith(FORMULAS)
    assert unguarded(cell) == text


@pytest.mark.parametrize("file", REGISTER)
def test_nobody_without_an_area_gets_a_row_of_any_table(db, file):
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    call_command("load_register", ROOT / "fixtures" / "demo", verbosity=0)
    nobody = make_person("health_officer", Area.objects.create(code="z", name="Z", kind="district"))

    text = table_csv(REGISTER[file], user=nobody, area=Area.objects.get(code="sorrelwater"))

    everybodys = [row for row in cells(text)[1:] if _names_a_place(file, text, row)]
    assert everybodys == []


def _names_a_place(file, text, row):
    """Rates that hold everywhere name no place, and are everybody's."""
    named = dict(zip(cells(text)[0], row, strict=True))
    places = [named.get(name, "-") for name in ("area", "facility")]
    return file not in ("morbidity_rates.csv", "prevalences.csv") or any(
        place not in ("", "-") for place in places
    )


def test_only_what_lies_in_ones_own_areas_is_written(small):
    south = Area.objects.create(code="south", name="South", kind="district")
    coast = Facility.objects.create(
        code="coast", name="Coast", area=south, level=1, latitude=-3, longitude=30
    )
    model = DeviceModel.objects.get()
    EquipmentItem.objects.create(code="s-1", facility=coast, device_model=model)
    north = Area.objects.get(code="north")
    officer = make_person("health_officer", north)

    def codes(area, file):
        return [row[0] for row in cells(table_csv(REGISTER[file], user=officer, area=area))[1:]]

    assert codes(north, "areas.csv") == ["north", "upper"]
    assert codes(north, "facilities.csv") == ["ford", "hill"]
    assert codes(north, "equipment.csv") == ["n-1"]
    assert codes(south, "equipment.csv") == []
