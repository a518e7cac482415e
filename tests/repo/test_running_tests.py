"""``manage.py test`` is pytest, with the settings of the tests."""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, load_command_class

ROOT = Path(__file__).resolve().parents[2]


def manage_test(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run it as manage.py does, with the service's own settings in the environment."""
    variables = {"DJANGO_SETTINGS_MODULE": "planner.settings", "PLANNER_VAR_DIR": str(folder)}
    return subprocess.run(  # noqa: S603
        [sys.executable, "-m", "django", "test", "-p", "no:cacheprovider", *arguments],
        cwd=ROOT,
        env={**os.environ, **variables},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def one_test(tmp_path):
    """Write a file with one test of which ``fact`` is the assertion."""

    def write(fact: str) -> str:
        path = tmp_path / "test_one.py"
        path.write_text(
            f"from django.conf import settings\n\n\ndef test_one():\n    assert {fact}\n",
            encoding="utf-8",
        )
        return str(path)

    return write


def test_a_suite_that_passes_ends_with_0_and_ran_under_the_settings_of_the_tests(
    one_test, tmp_path
):
    done = manage_test(tmp_path, one_test("settings.SETTINGS_MODULE == 'tests.settings'"))

    assert done.returncode == 0, done.stdout + done.stderr
    assert "1 passed" in done.stdout


def test_a_suite_that_fails_ends_with_1(one_test, tmp_path):
    done = manage_test(tmp_path, one_test("False"))

    assert done.returncode == 1
    assert "1 failed" in done.stdout


def test_arguments_go_to_pytest_as_they_are(one_test, tmp_path):
    done = manage_test(tmp_path, "-k", "another", one_test("True"))

    assert done.returncode == 5  # pytest: no tests were collected
    assert "1 deselected" in done.stdout


def test_without_the_development_tools_it_says_how_to_get_them(monkeypatch):
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)

    with pytest.raises(CommandError) as refusal:
        load_command_class("apps.web", "test").handle(arguments=[])

    assert str(refusal.value) == (
        "The development tools are not installed here. Run python3 manage.py test with the "
        "system's Python, outside any virtual environment: it installs them first."
    )
