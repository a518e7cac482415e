"""Tables as CSV on their way into the register, whatever they were saved with."""

import pytest

from apps.facilities.models import Facility
from apps.imports.adapters.tables import TABLES
from apps.imports.exports import REGISTER, table_csv
from apps.imports.services import recognise
from apps.inventory.models import EquipmentItem, SkillHeld
from tests.api.register import make_person, make_register
from tests.apps.imports.uploading import applied, faults, numbers, sent

EQUIPMENT = "code,facility,device_model,condition,received_on\n"


@pytest.fixture
def register(db):
    return make_register()


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def upload(register, officer, text, name="table.csv"):
    content = text.encode() if isinstance(text, str) else text
    return sent(content, register.north, officer, name, kind="table")


@pytest.mark.parametrize("file", [file for file in REGISTER if file in TABLES])
def test_a_table_that_was_written_is_recognised_and_changes_nothing(register, officer, file):
    content = table_csv(REGISTER[file], user=officer, area=register.north).encode()

    found = upload(register, officer, content, file)

    counts = {file: row[:4] for file, row in numbers(found).items()}
    assert recognise(file_name=file, content=content) == "table"
    assert counts == {file: (0, 0, 0, 0)}


def test_a_table_may_name_its_columns_as_people_do_and_in_part(register, officer):
    text = "Inventory number,Facility,Condition\nhill-001,hill,Works, not used\n".replace(
        "Works, not used", '"Works, not used"'
    )

    applied(upload(register, officer, text), officer)

    item = EquipmentItem.objects.get(code="hill-001")
    assert (item.condition, item.observed_on.isoformat()) == ("idle", "2026-01-15")


def test_a_new_row_must_say_what_it_cannot_be_without(register, officer):
    found = upload(register, officer, "code,facility,condition\nhill-002,hill,idle\n")

    assert faults(found, "equipment.csv") == [
        (2, "", "", "it is not in the register, and the file lacks what a new one must say:"
         " Device model", "Add these columns, or correct the code if it is there already.")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("hill-002,hil,cuvette-photometer,idle,",
         ("facility", "hil", "is none of the facilities that you can name here",
          "Did you mean hill? Choose one from the list.")),
        ("hill-002,coast,cuvette-photometer,idle,",
         ("facility", "coast", "is none of the facilities that you can name here",
          "Choose one from the list.")),
        ("hill-002,hill,cuvette-photometer,so-so,",
         ("condition", "so-so", "does not fit this column",
          "Expected one of in_use, idle, repairable, beyond_repair, incomplete, awaiting,"
          " unknown.")),
        ("hill-002,hill,cuvette-photometer,idle,01/02/2026",
         ("received_on", "01/02/2026", "does not fit this column",
          "Expected a date written as 2026-01-31, or nothing.")),
    ],
)  # fmt: skip
def test_a_mistake_is_told_of_with_row_column_value_and_what_to_do(register, officer, line, fault):
    found = upload(register, officer, f"{EQUIPMENT}{line}\n")

    assert faults(found, "equipment.csv") == [(2, *fault)]


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("code,latitude,power_hours_per_day\nhill,1.5,7.5\n", 7.5),
        ("code;latitude;power_hours_per_day\nhill;1,5;7,5\n", 7.5),
        ("code\tlatitude\tpower_hours_per_day\nhill\t1.5\t7.5\n", 7.5),
        ("\ufeffcode,latitude,power_hours_per_day\r\nhill,1.5,7.5\r\n", 7.5),
    ],
)
def test_commas_semicolons_and_tabs_part_columns_and_decimals_may_have_commas(
    register, officer, text, hours
):
    applied(upload(register, officer, text), officer)

    assert Facility.objects.get(code="hill").power_hours_per_day == hours


@pytest.mark.parametrize(
    ("encoding", "noted"), [("utf-8", False), ("utf-8-sig", False), ("utf-16", False),
                            ("latin-1", True)]
)  # fmt: skip
def test_accents_survive_whatever_the_encoding_and_a_guess_is_told_of(
    register, officer, encoding, noted
):
    found = upload(register, officer, "code,name,level\nhill,Café Étoile,2\n".encode(encoding))

    applied(found, officer)

    assert Facility.objects.get(code="hill").name == "Café Étoile"
    assert (
        found.notes
        == ["table.csv is not in UTF-8 and was read as Western European: look at its accents."]
        * noted
    )


@pytest.mark.parametrize(
    ("typed", "day"),
    [("2026-02-01", "2026-02-01"), ("1.2.2026", "2026-02-01"), ("1 Feb 2026", "2026-02-01")],
)
def test_dates_as_text_are_read_where_they_can_mean_one_day(register, officer, typed, day):
    applied(
        upload(register, officer, f"code,facility,received_on\nhill-001,hill,{typed}\n"), officer
    )

    assert EquipmentItem.objects.get(code="hill-001").received_on.isoformat() == day


def test_lakh_grouping_is_read(register, officer):
    applied(upload(register, officer, 'code,population\nhill,"1,20,500"\n'), officer)

    assert Facility.objects.get(code="hill").population == 120_500


def test_a_title_above_the_headings_is_passed_over(register, officer):
    text = "Register of the district,,\n,,\ncode,facility,note\nhill-001,hill,seen\n"

    applied(upload(register, officer, text), officer)

    assert EquipmentItem.objects.get(code="hill-001").note == "seen"


@pytest.mark.parametrize(
    ("name", "file"), [("areas.csv", "areas.csv"), ("facilities.csv", "facilities.csv")]
)
def test_columns_that_several_tables_have_are_those_that_the_file_is_named_for(
    register, officer, name, file
):
    assert list(upload(register, officer, "code,name\nhill,Hill\n", name).counts) == [file]


def test_a_row_that_stands_twice_is_refused_the_second_time(register, officer):
    found = upload(register, officer, "code,name,level\nhill,One,2\nhill,Two,2\n")

    assert faults(found, "facilities.csv") == [
        (3, "code", "hill", "stands in row 2 already", "Keep one of the two rows.")
    ]


def test_a_table_whose_rows_have_no_code_must_be_whole(register, officer):
    found = upload(register, officer, "facility,skill,staff_count\nhill,microscopy,3\n")

    assert found.state == "refused"
    assert SkillHeld.objects.get(facility=register.hill).staff_count == 1


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"a,b\n1,2\n", "table.csv has the columns a, b, which are those of no table here."
         " Say which column is which, as for a spreadsheet of your own."),
        (b'code,level\nhill,"open\n',
         "table.csv, line 2: from here on it is not CSV (unexpected end of data). Check the"
         " quotes, or save it again from a spreadsheet program."),
        (b"\x00\x01\x02", "table.csv is no text. Save it as CSV in UTF-8, and upload that."),
        (b"\n\n", "table.csv has nothing in it. Fill it in."),
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused_whole(register, officer, content, message):
    found = upload(register, officer, content)

    assert (found.state, found.message) == ("refused", message)
