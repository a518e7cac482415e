"""A district's own spreadsheet: suggested, confirmed, remembered."""

import io

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from openpyxl import Workbook as Book

from apps.audit.models import Entry
from apps.catalogue.models import DeviceModel
from apps.facilities.models import Facility
from apps.imports.adapters.mapping import meanings, signature
from apps.imports.models import ColumnMapping, UnmappedFile
from apps.imports.selectors import unmapped_for
from apps.imports.services import map_file, mapping_question, read_upload, take_in
from apps.inventory.models import EquipmentItem
from tests.api.register import make_person, make_register
from tests.apps.imports.uploading import applied, faults, numbers

OWN = (
    "Asset tag,Name of facility,Equipment,Serial No.,Functional status,Date of receipt,Donor\n"
    "INV/07,Hill,Cuvette photometer,A-1,Working,3 Mar 2024,Fund\n"
    "INV/08,Ford,Cuvette photometer,A-2,Not working,,\n"
    "INV/09,Ford,Cuvette photometr,A-3,Condemned,,Fund\n"
)
COLUMNS = ("code", "facility", "device_model", "serial_number", "condition", "received_on", "")


@pytest.fixture
def register(db):
    register = make_register()
    Facility.objects.filter(code="hill").update(name="Hill")
    Facility.objects.filter(code="ford").update(name="Ford")
    DeviceModel.objects.update(name="Cuvette photometer")
    return register


@pytest.fixture
def officer(register):
    return make_person("health_officer", register.north)


def kept(register, officer, content=None, name="own.csv"):
    return take_in(file_name=name, content=content or OWN.encode(), area=register.north,
                   by=officer).unmapped  # fmt: skip


def confirmed(unmapped, officer, **changed):
    question = mapping_question(unmapped)
    said = {
        "table": question.guess.table.file,
        "columns": [each.column for each in question.guess.columns],
        "values": question.words,
        **changed,
    }
    upload = map_file(unmapped=unmapped, by=officer, **said)
    read_upload(upload.pk)
    upload.refresh_from_db()
    return upload


def test_the_table_the_columns_and_the_words_are_suggested(register, officer):
    question = mapping_question(kept(register, officer))

    assert question.guess.table.file == "equipment.csv"
    assert tuple(each.column for each in question.guess.columns) == COLUMNS
    assert question.words == {
        "facility": {"Ford": "ford", "Hill": "hill"},
        "device_model": {
            "Cuvette photometer": "cuvette-photometer",
            "Cuvette photometr": "cuvette-photometer",
        },
        "condition": {
            "Working": "in_use", "Not working": "repairable", "Condemned": "beyond_repair",
        },
    }  # fmt: skip
    assert (question.guess.missing, question.remembered) == ((), False)


def test_each_column_is_shown_with_three_different_values(register, officer):
    columns = mapping_question(kept(register, officer)).guess.columns

    assert [each.examples for each in columns[:2]] == [
        ("INV/07", "INV/08", "INV/09"), ("Hill", "Ford"),
    ]  # fmt: skip


def test_what_was_confirmed_is_read_and_applied(register, officer):
    upload = confirmed(kept(register, officer), officer)

    assert numbers(upload) == {"equipment.csv": (3, 0, 0, 0, 0)}
    applied(upload, officer)
    rows = EquipmentItem.objects.filter(code__startswith="inv").order_by("code")
    assert list(rows.values_list("code", "facility__code", "serial_number", "condition")) == [
        ("inv-07", "hill", "A-1", "in_use"),
        ("inv-08", "ford", "A-2", "repairable"),
        ("inv-09", "ford", "A-3", "beyond_repair"),
    ]
    assert rows[0].received_on.isoformat() == "2024-03-03"


def test_the_same_file_once_more_changes_nothing(register, officer):
    applied(confirmed(kept(register, officer), officer), officer)

    again = confirmed(kept(register, officer), officer)

    assert numbers(again) == {"equipment.csv": (0, 0, 0, 0, 3)}


def test_what_was_confirmed_is_remembered_for_the_district_and_these_headings(register, officer):
    columns = ["code", "facility", "device_model", "", "condition", "", "note"]
    words = {"condition": {"Working": "idle"}}
    confirmed(kept(register, officer), officer, columns=columns, values=words)
    next_year = OWN.replace("Asset tag", "ASSET  TAG").replace("Serial No.", "Serial no")

    question = mapping_question(kept(register, officer, next_year.encode()))

    assert question.remembered
    assert [each.column for each in question.guess.columns] == columns
    assert question.words["condition"]["Working"] == "idle"
    [mapping] = ColumnMapping.objects.all()
    assert (mapping.district, mapping.table, mapping.by) == (
        register.north, "equipment.csv", officer,
    )  # fmt: skip
    assert Entry.objects.filter(action="columns.mapped").count() == 1


def test_another_district_starts_anew(register, officer):
    confirmed(kept(register, officer), officer)
    stranger = make_person("planner", register.south)
    content = OWN.encode()
    taken = take_in(file_name="a.csv", content=content, area=register.south, by=stranger)

    assert not mapping_question(taken.unmapped).remembered


def test_a_word_without_a_meaning_is_refused_by_its_row(register, officer):
    content = OWN.replace("Condemned", "Wobbly").encode()

    upload = confirmed(kept(register, officer, content), officer)

    [(line, column, value, reason, _)] = faults(upload, "equipment.csv")
    assert (line, column, value, reason) == (
        4, "Functional status", "Wobbly", "does not fit this column",
    )  # fmt: skip


def test_a_spreadsheet_is_read_from_the_sheet_and_the_line_where_its_table_begins(
    register, officer
):
    book = Book()
    book.active.title = "Cover"
    book.active.append(["Our register"])
    sheet = book.create_sheet("Assets")
    sheet.append(["Register of the district"])
    sheet.append([])
    for line in OWN.splitlines():
        sheet.append(line.split(","))
    file = io.BytesIO()
    book.save(file)
    unmapped = kept(register, officer, file.getvalue(), "own.xlsx")

    cover, assets = mapping_question(unmapped), mapping_question(unmapped, sheet="Assets")

    assert (cover.sheet, cover.sheets) == ("Cover", ("Cover", "Assets"))
    assert tuple(each.column for each in assets.guess.columns) == COLUMNS
    upload = confirmed(
        unmapped, officer, sheet="Assets", table="equipment.csv", columns=COLUMNS,
        values=assets.words,
    )  # fmt: skip
    assert numbers(upload) == {"equipment.csv": (3, 0, 0, 0, 0)}


@pytest.mark.parametrize(
    ("changed", "problem"),
    [
        ({"table": "people.csv"}, "people.csv is no table of the register. Choose one."),
        ({"columns": ("code",)}, "Expected 7 columns, one for each heading."),
        ({"columns": ("code", "facility", "note", "note", "", "", "")},
         "Note is chosen for 2 columns. Choose it for one of them."),
        ({"columns": ("code", "", "note", "", "", "", "")},
         "No column is chosen to be Facility. Equipment cannot be read without."),
        ({"columns": ("code", "facility", "weight", "", "", "", "")},
         "Equipment has no column weight."),
    ],
)  # fmt: skip
def test_a_choice_that_cannot_be_read_by_is_refused(register, officer, changed, problem):
    with pytest.raises(ValidationError) as refusal:
        confirmed(kept(register, officer), officer, **changed)

    assert refusal.value.messages == [problem]
    assert not ColumnMapping.objects.exists()


def test_a_file_is_dropped_once_it_is_handed_on(register, officer):
    confirmed(kept(register, officer), officer)

    assert not UnmappedFile.objects.exists()


def test_nobody_else_sees_a_file_that_waits(register, officer):
    unmapped = kept(register, officer)
    colleague = make_person("planner", register.north)

    assert unmapped_for(officer, unmapped.pk) == unmapped
    with pytest.raises(UnmappedFile.DoesNotExist):
        unmapped_for(colleague, unmapped.pk)


def test_an_auditor_keeps_no_file(register):
    auditor = make_person("auditor", register.north)

    with pytest.raises(PermissionDenied):
        kept(register, auditor)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (["Asset Tag", "N°"], ["asset_tag", "N°"], True),
        (["État"], ["etat"], True),
        (["a", "b"], ["b", "a"], False),
        (["a", "b"], ["a b"], False),
    ],
)
def test_a_signature_is_of_the_words_and_their_order(one, other, same):
    assert (signature(one) == signature(other)) is same


def test_a_column_that_names_sites_is_known_by_its_values_whatever_its_heading(register, officer):
    content = OWN.replace("Name of facility", "Where").encode()

    columns = mapping_question(kept(register, officer, content)).guess.columns

    assert (columns[1].head, columns[1].column) == ("Where", "facility")


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("Photometer, cuvette", "cuvette-photometer"),
        ("Cuvette photometer (old)", "cuvette-photometer"),
        ("Photometer", ""),
        ("Something else", ""),
    ],
)
def test_names_of_the_same_words_in_another_order_are_suggested(register, word, meant):
    field = EquipmentItem._meta.get_field("device_model")

    assert meanings(field, "device_model", [word]) == {word: meant}
