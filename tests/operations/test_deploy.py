"""Units, container and compose files name commands and settings that exist."""

import configparser
import re
import shutil
import subprocess
from pathlib import Path

import pytest
import yaml
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / "planner" / "deploy"
UNITS = sorted(DEPLOY.glob("*.service")) + sorted(DEPLOY.glob("*.timer"))
SETTINGS = (ROOT / "planner" / "settings.py").read_text(encoding="utf-8")
GUIDE = (ROOT / "planner" / "docs" / "running.md").read_text(encoding="utf-8")


def read(unit: Path) -> configparser.ConfigParser:
    parser = configparser.ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str
    parser.read(unit, encoding="utf-8")
    return parser


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_a_unit_runs_commands_that_there_are(unit):
    text = unit.read_text(encoding="utf-8")

    commands = set(re.findall(r"manage\.py (\w+)", text))
    assert commands <= set(get_commands())
    assert commands or "gunicorn" in text or unit.suffix == ".timer"


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="needs systemd-analyze")
@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_systemd_finds_no_fault_in_a_unit_but_the_absent_program(unit):
    done = subprocess.run(  # noqa: S603
        ["systemd-analyze", "verify", str(unit)],  # noqa: S607
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    faults = [line for line in done.stderr.splitlines() if "not executable" not in line]
    assert [line for line in faults if unit.name in line and "/opt/benchward" not in line] == []


def test_the_timer_starts_a_service_that_there_is():
    assert {unit.stem for unit in DEPLOY.glob("*.timer")} <= {
        unit.stem for unit in DEPLOY.glob("*.service")
    }


def test_every_unit_that_serves_says_what_it_may_write_to():
    for name in ("benchward-web.service", "benchward-worker@.service"):
        service = read(DEPLOY / name)["Service"]
        assert (service["ProtectSystem"], service["ReadWritePaths"]) == (
            "strict",
            "/var/lib/benchward",
        )


def test_the_example_names_settings_that_there_are():
    names = re.findall(r"^(PLANNER_\w+)=", (DEPLOY / "environment.example").read_text(), re.M)

    assert names
    assert [name for name in names if f'"{name}"' not in SETTINGS] == []


def test_the_guide_lists_every_setting_and_no_other():
    read_there = set(re.findall(r'"((?:PLANNER|DASK)_[A-Z_]+)"', SETTINGS))
    unlisted = {"PLANNER_DEBUG"}  # for those who change the program

    assert set(re.findall(r"`((?:PLANNER|DASK)_[A-Z_]+)`", GUIDE)) == read_there - unlisted


def test_the_compose_file_parses_and_every_part_has_what_it_needs():
    services = yaml.safe_load((DEPLOY / "compose.yaml").read_text(encoding="utf-8"))["services"]

    assert set(services) == {"database", "web", "worker"}
    assert services["worker"]["build"] == services["web"]["build"]
    assert (DEPLOY / services["web"]["build"]["context"]).resolve() == ROOT
    assert set(re.findall(r"manage\.py (\w+)", services["web"]["command"])) <= set(get_commands())


def test_the_container_installs_the_locked_packages_by_their_hashes():
    text = (DEPLOY / "Containerfile").read_text(encoding="utf-8")

    assert "--require-hashes -r /tmp/base.txt" in text
    assert "COPY planner/requirements/base.txt" in text
