"""``manage.py coverage``. No test here may touch the database, and none is allowed to."""

import io
import json

import pandas as pd
import pytest
from django.core.management import CommandError, call_command

from planner.engine.case import Case
from planner.engine.coverage import assess
from tests.commands.command_line import run, start
from tests.factories.documents import EXAMPLE, EXAMPLE_PATH, example

TABLE = assess(Case.read(EXAMPLE_PATH)).table()


def printed(capsys, *words) -> str:
    call_command("coverage", EXAMPLE_PATH, *words)
    return capsys.readouterr().out


def as_read_back(table: pd.DataFrame) -> list[dict]:
    return json.loads(table.to_json(orient="records"))


def test_it_prints_the_table_as_csv(capsys):
    read = pd.read_csv(io.StringIO(printed(capsys)), keep_default_na=False)
    read["fix_cost"] = pd.to_numeric(read["fix_cost"])

    pd.testing.assert_frame_equal(read, TABLE, check_dtype=False)


def test_csv_has_one_row_for_each_site_and_test_below_its_heading(capsys):
    lines = printed(capsys).splitlines()

    assert lines[0].startswith("site,test,state,method,at,")
    assert len(lines) == 1 + 3 * 4


def test_it_prints_the_table_as_json_with_null_where_a_cost_does_not_apply(capsys):
    rows = json.loads(printed(capsys, "--format", "json"))

    assert rows == as_read_back(TABLE)
    assert rows[3]["fix_cost"] is None


def test_it_writes_the_same_to_a_file_and_nothing_to_the_screen(capsys, tmp_path):
    expected, out = printed(capsys), tmp_path / "coverage.csv"

    assert printed(capsys, "--out", out) == ""
    assert out.read_text(encoding="utf-8") == expected


def test_a_case_with_mistakes_gives_exit_code_2_and_a_line_for_each(capsys, tmp_path):
    path = tmp_path / "case.json"
    document = example((("limits", "capital"), -1), (("links", 0, "to"), "nowhere"))
    path.write_text(json.dumps(document), encoding="utf-8")

    with pytest.raises(CommandError) as refused:
        call_command("coverage", path)

    assert refused.value.returncode == 2
    assert str(refused.value) == (
        "The planning case has 2 mistakes. Correct the places named and read it again."
    )
    assert capsys.readouterr() == (
        "",
        "limits.capital: expected a number ≥ 0, found -1\n"
        'links[0].to: there is no entry with code "nowhere" in sites\n',
    )


def test_mistakes_beyond_the_hundredth_are_counted_in_a_line_of_their_own(capsys, tmp_path):
    path = tmp_path / "case.json"
    document = example((("device_models", 0, "programmes"), [0] * 103))
    path.write_text(json.dumps(document), encoding="utf-8")

    with pytest.raises(CommandError, match=r"^The planning case has 103 mistakes\."):
        call_command("coverage", path)

    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 101
    assert lines[-1] == "... and 3 more"


def test_an_unknown_format_is_refused_before_the_case_is_read():
    with pytest.raises(CommandError, match="invalid choice: 'xml'"):
        call_command("coverage", "absent.json", "--format", "xml")


@pytest.mark.parametrize(
    ("name", "reason"), [(".", "it is a directory"), ("no/x.csv", "its directory does not exist")]
)
def test_a_file_that_cannot_be_written_is_refused_before_the_case_is_read(tmp_path, name, reason):
    out = tmp_path / name

    with pytest.raises(CommandError) as refused:
        call_command("coverage", "absent.json", "--out", out)

    assert str(refused.value) == f"Error: argument --out: {out} cannot be written: {reason}"


def test_a_disk_that_takes_no_more_is_named(monkeypatch, tmp_path):
    def full(*args, **options):
        raise OSError(28, "No space left on device")

    out = tmp_path / "coverage.csv"
    monkeypatch.setattr("pathlib.Path.write_text", full)

    with pytest.raises(CommandError) as refused:
        call_command("coverage", EXAMPLE_PATH, "--out", out)

    assert str(refused.value) == f"{out}: cannot be written (No space left on device)"
    assert refused.value.returncode == 2


def test_in_a_shell_a_file_that_is_not_there_is_two_lines_and_exit_code_2(tmp_path):
    path = tmp_path / "absent.json"

    assert run("coverage", path) == (
        2,
        "",
        f"{path}: cannot be read (No such file or directory)\n"
        "CommandError: The planning case has 1 mistake. "
        "Correct the places named and read it again.\n",
    )


def test_in_a_shell_a_reader_that_has_seen_enough_ends_it_without_complaint(tmp_path):
    path = tmp_path / "case.json"
    sites = [{**EXAMPLE["sites"][0], "code": f"site-{number}"} for number in range(500)]
    path.write_text(json.dumps(example((("sites",), EXAMPLE["sites"] + sites))), encoding="utf-8")

    with start("coverage", path) as process:
        first = process.stdout.readline()
        process.stdout.close()
        err = process.stderr.read()

    assert first.startswith("site,test,state")
    assert (process.returncode, err) == (141, "")


def test_its_help_teaches_by_example_and_lists_the_exit_codes():
    code, out, err = run("coverage", "--help")

    assert (code, err) == (0, "")
    assert "manage.py coverage fixtures/cases/three-sites.json\n" in out
    assert "exit codes:\n  0  done\n  2  the case or the command line has mistakes" in out
