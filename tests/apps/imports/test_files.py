"""Reading CSV as RFC 4180 has it, and as spreadsheet programs write it."""

import pytest

from apps.imports.adapters.files import Problem, Record, records

COLUMNS = ("code", "name")


@pytest.fixture
def path(tmp_path):
    return tmp_path / "areas.csv"


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"code,name\na,Upper\n", [(2, "a", "Upper")]),
        (b"code,name\r\na,Upper\r\n", [(2, "a", "Upper")]),
        (b"\xef\xbb\xbfcode,name\na,\xc3\x84rea\n", [(2, "a", "\u00c4rea")]),
        (b"name,code\nUpper,a\n", [(2, "a", "Upper")]),
        (b'code,name\na,"Upper, ""the"" block"\n', [(2, "a", 'Upper, "the" block')]),
        (b'code,name\na,"two\nlines"\nb,Lower', [(2, "a", "two\nlines"), (4, "b", "Lower")]),
        (b"code,name\n a , Upper \n\nb,\n", [(2, "a", "Upper"), (4, "b", "")]),
        (b"code,name\n", []),
    ],
)  # fmt: skip
def test_rows_come_with_the_line_they_begin_on(path, content, found):
    path.write_bytes(content)

    assert records(path, COLUMNS) == (
        [Record(line, {"code": code, "name": name}) for line, code, name in found],
        [],
    )


@pytest.mark.parametrize(
    ("content", "line", "text"),
    [
        (b"", 1, "the column code is missing; the column name is missing."
         " The first row must be code,name."),
        (b"code\na\n", 1, "the column name is missing. The first row must be code,name."),
        (b"code,name,size\n", 1, "the column 'size' is not known."
         " The first row must be code,name."),
        (b"code,name,name\n", 1, "the column name stands twice. The first row must be code,name."),
        (b"code;name\na;Upper\n", 1, "the columns are parted by semicolons."
         " Save the file with commas."),
        (b"code,name\na\n", 2, "1 cells, but the first row names 2 columns."
         " Check commas and quotes."),
        (b"code,name\na,Upper,x\n", 2, "3 cells, but the first row names 2 columns."
         " Check commas and quotes."),
        (b"code,name\na,\xc4rea\n", 2, "byte 0xc4 is not UTF-8. Save the file as UTF-8."),
        (b'code,name\na,Upper\nb,"Lower\n', 3, "after this line the file is not CSV"
         " (unexpected end of data). Check the quotes."),
    ],
)  # fmt: skip
def test_a_file_that_is_not_as_expected_says_where_and_what_to_do(path, content, line, text):
    path.write_bytes(content)

    assert records(path, COLUMNS)[1] == [Problem("areas.csv", line, text)]


def test_a_problem_is_written_as_compilers_write_them():
    assert str(Problem("areas.csv", 7, "name is empty.")) == "areas.csv:7: name is empty."
