"""The shipped catalogue and the invented district, against a second reading of the files.

``tests/fixtures_data/district.py`` makes the planning case straight from the CSV files, with
nothing of the apps; the register, loaded and frozen, must come to the same.
"""

from typing import Any

import pytest
from django.core.management import call_command

from apps.coverage.adapters import freeze
from apps.facilities.models import Area
from apps.imports.services import load_catalogue, load_register
from planner.engine.case import Case
from planner.settings import ROOT
from tests.fixtures_data.district import planning_case

CODED = (
    "areas",
    "programmes",
    "skills",
    "infrastructure",
    "device_models",
    "tests",
    "methods",
    "sites",
)


@pytest.fixture
def shipped(db):
    call_command("load_catalogue", ROOT / "fixtures" / "catalogue", verbosity=0)
    call_command("load_register", ROOT / "fixtures" / "demo", verbosity=0)


def in_order(case: Case) -> dict[str, Any]:
    """The values of ``case`` with every list that has no order of its own sorted."""
    values = case.to_json()
    for name in CODED:
        values[name].sort(key=lambda entry: entry["code"])
    for model in values["device_models"]:
        model["serves"].sort(key=lambda role: role["class"])
        model["programmes"].sort()
    for holder in (*values["methods"], *values["sites"]):
        holder["skills"].sort()
        holder["infrastructure"].sort()
    values["stock"].sort(key=lambda entry: (entry["site"], entry["model"]))
    values["links"].sort(key=lambda link: (link["from"], link["to"]))
    return values


def test_the_register_freezes_into_the_case_that_the_files_say(shipped):
    # Freezing writes the latest version; all that it adds has its neutral value here.
    expected = planning_case().model_copy(update={"version": 2})
    floors = {area.code: area.floor for area in expected.areas}

    frozen = freeze(
        Area.objects.get(kind="district"),
        limits=expected.limits,
        minimum_evidence=expected.minimum_evidence,
        floors=floors,
        title=expected.title,
    )

    assert in_order(frozen.case) == in_order(expected)


def test_the_shipped_folders_loaded_again_change_nothing(shipped):
    again = [
        load_catalogue(folder=ROOT / "fixtures" / "catalogue", by=None),
        load_register(folder=ROOT / "fixtures" / "demo", by=None),
    ]

    assert [loaded.nothing_changed for loaded in again] == [True, True]
