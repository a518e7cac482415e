"""Files that are no workbooks, or are made to do harm: each refused, with what to do."""

import io
import random
import zipfile
from collections.abc import Callable

import pytest

from apps.imports.adapters import containers
from apps.imports.adapters.containers import look_into
from apps.imports.adapters.sources import RefusedFileError
from apps.imports.adapters.workbook_reading import read_workbook
from apps.imports.models import Upload
from tests.apps.imports.uploading import filled, given_out, numbers, put, sent

SHEET = "xl/worksheets/sheet2.xml"
SAVE_AS = "Open it in a spreadsheet program, save it as a workbook (.xlsx), and upload that."


@pytest.fixture
def workbook(register, officer) -> bytes:
    return given_out(register.north, officer)


@pytest.fixture
def send(register, officer) -> Callable[..., Upload]:
    return lambda content, name="survey.xlsx": sent(content, register.north, officer, name=name)


def packed(members: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return file.getvalue()


def with_member(workbook: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """The workbook with ``name`` changed, or added where it has none of that name."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
        members = {each: archive.read(each) for each in archive.namelist()}
    return packed({**members, name: change(members.get(name, b""))})


@pytest.mark.parametrize(
    "content",
    [
        b"code,name\nhill,Hill\n",
        b"PK\x03\x04 and no more",
        b"\x00" * 1000,
        "Grüße".encode("latin-1"),
        packed({"a.txt": b"hello"}),
        packed({"xl/workbook.xml": b"<workbook/>"}),
        packed({"xl/workbook.xml": b"\x00\xff not xml"}),
    ],
)
def test_what_is_no_workbook_is_refused(send, content):
    upload = send(content)

    assert upload.state == "refused"
    assert upload.message.startswith("survey.xlsx")
    assert upload.message.endswith(SAVE_AS)


def test_half_a_workbook_is_refused(send, workbook):
    upload = send(workbook[: len(workbook) // 2])

    assert (upload.state, "damaged" in upload.message) == ("refused", True)


@pytest.mark.parametrize("at", [0.2, 0.4, 0.6])
def test_a_workbook_with_bytes_gone_wrong_is_refused_or_read_whole(send, workbook, at):
    place = int(len(workbook) * at)

    upload = send(workbook[:place] + bytes(40) + workbook[place + 40 :])

    assert upload.state in ("refused", "previewed")
    assert upload.state == "previewed" or upload.message


@pytest.mark.parametrize("name", ["survey.xlsm", "survey.xls", "survey", "survey.xlsx.exe"])
def test_a_file_that_is_not_named_as_a_workbook_is_refused(send, workbook, name):
    upload = send(workbook, name)

    assert upload.message == f"{name} is not named as a workbook (.xlsx) is. {SAVE_AS}"


def test_a_protected_or_old_workbook_is_refused(send):
    upload = send(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512))

    assert upload.message == (
        f"survey.xlsx is protected by a password, or in an old format. {SAVE_AS}"
    )


@pytest.mark.parametrize("member", ["xl/vbaProject.bin", "xl/other/VBAPROJECT.BIN"])
def test_macros_are_refused(send, workbook, member):
    upload = send(with_member(workbook, member, lambda _: b"x"))

    assert upload.message == (
        "survey.xlsx contains macros, which are not accepted. Save it as a workbook without macros"
        " (.xlsx), and upload that."
    )


def test_a_file_that_unpacks_to_more_than_can_be_read_is_refused(send, workbook, monkeypatch):
    monkeypatch.setattr(containers, "MOST_UNPACKED_BYTES", 20 * 2**20)
    bomb = with_member(workbook, "xl/media/image1.png", lambda _: bytes(30 * 2**20))

    upload = send(bomb)

    assert len(bomb) < 200_000
    assert upload.message == (
        "survey.xlsx unpacks to more than 20 MB. Remove sheets that do not belong to it, or part"
        " it."
    )


def test_what_a_member_says_of_its_size_is_not_believed(monkeypatch, workbook):
    monkeypatch.setattr(containers, "MOST_UNPACKED_BYTES", 2 * 2**20)
    bomb = bytearray(with_member(workbook, "xl/a.xml", lambda _: bytes(3 * 2**20)))
    # The sizes in the directory at the end say that it is of one byte only.
    size = (3 * 2**20).to_bytes(4, "little")
    lying = bytes(bomb).replace(size, (1).to_bytes(4, "little"))

    with pytest.raises(RefusedFileError):
        look_into("survey.xlsx", lying)


def test_nested_entities_are_refused(send, workbook):
    bomb = (
        b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
        b"<worksheet>&b;</worksheet>"
    )

    upload = send(with_member(workbook, SHEET, lambda _: bomb))

    assert upload.message == (
        f"survey.xlsx declares entities of its own, which no spreadsheet program does. {SAVE_AS}"
    )


def test_an_entity_at_the_edge_of_two_steps_is_seen(monkeypatch, workbook):
    monkeypatch.setattr(containers, "STEP_BYTES", 4096)
    bomb = with_member(workbook, SHEET, lambda _: b" " * 4090 + b"<!DOCTYPE w>" + b" " * 5000)

    with pytest.raises(RefusedFileError, match="declares entities"):
        look_into("survey.xlsx", bomb)


CELL = '<row r="{row}"><c r="{column}{row}"><v>1</v></c></row></sheetData>'


def with_cell(workbook: bytes, column: str, row: int) -> bytes:
    cell = CELL.format(column=column, row=row).encode()
    return with_member(workbook, SHEET, lambda xml: xml.replace(b"</sheetData>", cell))


@pytest.mark.parametrize(("row", "refused"), [(250_000, False), (250_001, True), (1_048_576, True)])
def test_a_cell_far_below_is_refused_before_anything_is_laid_out_for_it(
    send, workbook, row, refused
):
    upload = send(with_cell(workbook, "A", row))

    assert (f"row {row}; at most 250000 rows are read." in upload.message) == refused


@pytest.mark.parametrize(
    ("column", "number", "refused"), [("CV", 100, False), ("CW", 101, True), ("XFD", 16_384, True)]
)
def test_a_cell_far_to_the_right_is_refused(send, workbook, column, number, refused):
    upload = send(with_cell(workbook, column, 9))

    assert (f"column number {number}; at most 100 columns" in upload.message) == refused


def test_a_few_cells_that_reach_over_too_many_are_refused(send, workbook):
    upload = send(with_cell(workbook, "CV", 200_000))

    assert upload.message == (
        "survey.xlsx reaches over 200000 rows and 100 columns, at most 10000000 cells are read."
        " Delete empty rows and columns at the end, or part it."
    )


@pytest.mark.parametrize(("count", "refused"), [(1_000, False), (250_001, True)])
def test_rows_that_do_not_say_which_they_are_are_counted(send, workbook, count, refused):
    rows = b"<row/>" * count + b"</sheetData>"

    upload = send(with_member(workbook, SHEET, lambda xml: xml.replace(b"</sheetData>", rows)))

    assert ("at most 250000 rows are read" in upload.message) == refused


def test_a_million_empty_rows_are_refused_with_what_to_do(send, workbook):
    rows = b"".join(b'<row r="%d"/>' % row for row in range(1_000, 300_000, 1000))

    upload = send(
        with_member(
            workbook, SHEET, lambda xml: xml.replace(b"</sheetData>", rows + b"</sheetData>")
        )
    )

    assert upload.message.endswith(
        "Delete the empty rows below the last one that is filled in, or part it."
    )


def test_too_many_members_are_refused(send, workbook):
    with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
        members = {each: archive.read(each) for each in archive.namelist()}

    upload = send(packed(members | {f"xl/x{at}.xml": b"" for at in range(500)}))

    assert upload.message == f"survey.xlsx is not built as a workbook is. {SAVE_AS}"


def test_a_workbook_without_any_of_our_sheets_is_refused_with_their_names(send, workbook):
    def keep_instructions(book):
        for name in book.sheetnames[1:]:
            del book[name]

    upload = send(filled(workbook, keep_instructions))

    assert upload.message.startswith(
        "survey.xlsx has no sheet that is known here, expected some of Facilities, Equipment,"
    )


def mutated(workbook: bytes, number: int) -> bytes:
    """The workbook with some bytes changed, of the file or of one of its members."""
    chance = random.Random(number)
    if number % 2:
        raw = bytearray(workbook)
        for _ in range(chance.randint(1, 8)):
            raw[chance.randrange(len(raw))] = chance.randrange(256)
        return bytes(raw)
    with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
        name = chance.choice(archive.namelist())
    return with_member(workbook, name, lambda content: _worn(content, chance))


def _worn(content: bytes, chance: random.Random) -> bytes:
    raw = bytearray(content)
    for _ in range(chance.randint(1, 20)):
        at = chance.randrange(max(1, len(raw)))
        if chance.random() < 0.5:
            raw[at : at + 1] = bytes([chance.randrange(256)])
        else:
            del raw[at : at + chance.randint(1, 200)]
    return bytes(raw)


def outcome(content: bytes) -> str:
    """Whether the file is read to its last row, or refused with what to do."""
    try:
        source = read_workbook("survey.xlsx", content, {})
        lines = [row.line for sheet in source.sheets for row in sheet.rows]
    except RefusedFileError as refused:
        return "refused" if refused.problem and refused.remedy else "refused without a word"
    return "read" if all(line > 0 for line in lines) else "read wrongly"


def test_a_thousand_files_gone_wrong_are_each_read_or_refused_in_words(workbook):
    outcomes = [outcome(mutated(workbook, number)) for number in range(1000)]

    assert set(outcomes) == {"read", "refused"}
    # Files too sound or too broken would show nothing.
    assert min(outcomes.count("read"), outcomes.count("refused")) > 50


def test_text_that_could_do_harm_elsewhere_is_kept_as_text(send, workbook):
    evil = "<script>alert(1)</script>'; DROP TABLE facilities; --"

    upload = send(filled(workbook, put("Equipment", "hill-001", "Note", evil)))

    assert numbers(upload)["equipment.csv"] == (0, 1, 0, 0, 0)
