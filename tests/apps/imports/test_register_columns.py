"""Further columns and files of a register folder; what a file is without stays as it was."""

import pytest

from apps.catalogue.models import Skill
from apps.facilities.models import Facility
from apps.imports.services import LoadError, load_catalogue, load_register
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
)
from tests.apps.imports.folders import CATALOGUE, HEAD, REGISTER, SOURCED, write_folder
from tests.factories.catalogue import make_consumable

FACILITIES = REGISTER["facilities.csv"].splitlines()
EQUIPMENT = REGISTER["equipment.csv"].splitlines()
LOG = "item,done_on,kind,cause,parts,days_down,cost,done_by,next_due_on,note\n"
MOVES = "item,moved_on,origin,origin_location,destination,destination_location,why\n"


@pytest.fixture
def folder(db, tmp_path):
    load_catalogue(folder=write_folder(tmp_path / "catalogue", CATALOGUE), by=None)
    return tmp_path / "register"


def load(folder, **files):
    return load_register(folder=write_folder(folder, REGISTER, **files), by=None)


def wider(lines: list[str], columns: str, *cells: str) -> str:
    """The file with further columns, a text of cells for each of its rows."""
    return "\n".join(f"{a},{b}" for a, b in zip(lines, (columns, *cells), strict=True)) + "\n"


def test_a_file_of_facilities_may_say_what_they_offer_and_blank_is_unknown(folder):
    columns = "power_available_w,water_source,cold_storage_litres,connectivity,basis"
    load(folder, facilities=wider(FACILITIES, columns, "600,well,0,mobile,observed", ",,,,"))

    hill, ford = Facility.objects.order_by("-code")
    assert (hill.power_available_w, hill.water_source, hill.cold_storage_litres, hill.basis) == (
        600, "well", 0, "observed",
    )  # fmt: skip
    assert (ford.power_available_w, ford.water_source, ford.cold_storage_litres) == (None, "", None)


def test_a_file_without_these_columns_leaves_what_is_known(folder):
    load(folder, facilities=wider(FACILITIES, "water_source", "well", "tank"))
    load(folder)

    assert [site.water_source for site in Facility.objects.order_by("code")] == ["tank", "well"]


def test_a_file_of_equipment_may_hold_the_whole_file_of_a_device(folder):
    columns = "manufacturer,instructions_held,purchase_cost,warranty_until,last_serviced_on"
    load(folder, equipment=wider(EQUIPMENT, columns, "A maker,no,900.5,2027-01-31,2026-02-03"))

    item = EquipmentItem.objects.get()
    assert (item.manufacturer, item.instructions_held, float(item.purchase_cost)) == (
        "A maker", "no", 900.5,
    )  # fmt: skip
    assert (str(item.warranty_until), str(item.last_serviced_on)) == ("2027-01-31", "2026-02-03")


def test_people_shelves_logs_and_moves_have_files_of_their_own(folder):
    make_consumable("lancet")
    load(
        folder,
        staff_held="facility,cadre,staff_count,testing_hours_per_week,observed_on,basis\n"
        "hill,K2,2,7.5,2026-01-15,reported\nhill,K3,1,,2026-01-15,reported\n",
        consumables_held="facility,consumable,days_of_stock,expires_on,observed_on,basis\n"
        "hill,lancet,0,,2026-01-15,reported\n",
        service_log=f"{LOG}n-1,2026-02-03,repair,motor,Brushes,12,30.5,engineer,,\n",
        moves=f"{MOVES}n-1,2025-02-03,ford,,hill,bench,Stood idle\n",
    )

    assert list(StaffHeld.objects.values_list("cadre", "testing_hours_per_week")) == [
        ("K2", 7.5), ("K3", None),
    ]  # fmt: skip
    assert ConsumableHeld.objects.get().days_of_stock == 0
    assert (ServiceEntry.objects.get().days_down, Move.objects.get().origin.code) == (12, "ford")


def test_the_same_folder_twice_changes_nothing(folder):
    files = {
        "service_log": f"{LOG}n-1,2026-02-03,repair,motor,Brushes,12,30.5,engineer,,\n",
        "facilities": wider(FACILITIES, "water_source", "well", ""),
    }
    load(folder, **files)

    assert load(folder, **files).nothing_changed


def test_supervision_and_the_time_after_which_a_skill_lapses_are_read(folder, tmp_path):
    skills = (
        f"code,name,training_cost,trainer_days,supervision_cost,lapses_after_months,{HEAD}\n"
        f"staining,Staining,200,2.5,30,24,{SOURCED}\n"
    )
    load_catalogue(folder=write_folder(tmp_path / "two", CATALOGUE, skills=skills), by=None)
    lines = REGISTER["skills_held.csv"].splitlines()
    load(folder, skills_held=wider(lines, "last_supervised_on", "2026-01-10"))

    assert Skill.objects.get().lapses_after_months == 24
    assert str(SkillHeld.objects.get().last_supervised_on) == "2026-01-10"


def test_a_word_that_is_none_of_the_choices_is_refused_with_its_place(folder):
    with pytest.raises(LoadError) as refusal:
        load(folder, facilities=wider(FACILITIES, "water_source", "sea", ""))

    [problem] = refusal.value.problems
    assert str(problem).endswith(
        'facilities.csv:2: water_source is "sea", expected one of none, carried, tank, well, piped.'
    )
