import pytest
from django.core.management import call_command

from apps.catalogue.models import LabTest
from apps.facilities.models import Facility
from tests.apps.imports.folders import CATALOGUE, REGISTER, write_folder


def test_a_catalogue_and_a_register_are_loaded_from_the_command_line(db, tmp_path, capsys):
    call_command("load_catalogue", write_folder(tmp_path / "catalogue", CATALOGUE))
    call_command("load_register", write_folder(tmp_path / "register", REGISTER))

    told = capsys.readouterr().out.splitlines()
    assert "tests.csv: 1 created, 0 changed, 0 removed" in told
    assert "facilities.csv: 2 created, 0 changed, 0 removed" in told
    assert (LabTest.objects.count(), Facility.objects.count()) == (1, 2)


def test_mistakes_are_lines_on_stderr_and_the_exit_code_is_2(db, tmp_path, capsys):
    folder = write_folder(tmp_path / "register", {"areas.csv": "code,name\nnorth,North\n"})

    with pytest.raises(SystemExit) as ending:
        call_command("load_register", folder)

    assert ending.value.code == 2
    assert capsys.readouterr().err.splitlines() == [
        "areas.csv:1: the column kind is missing; the column parent is missing; the column currency"
        " is missing. The first row must be code,name,kind,parent,currency.",
        "Nothing was loaded: 1 mistake. Correct the folder and load it again.",
    ]
