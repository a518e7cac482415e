"""The shipped catalogue and the invented district, against a second reading of the files.

``tests/fixtures_data/district.py`` makes the planning case straight from the CSV files, with
nothing of the apps; the register, loaded and frozen, must come to the same.
"""

from collections import Counter
from typing import Any

import pytest
from django.core.management import call_command

from apps.coverage.adapters import freeze, freeze_as_it_stands
from apps.facilities.models import Area
from apps.imports.services import load_catalogue, load_register
from planner.engine.case import Case, Stock
from planner.settings import ROOT
from tests.fixtures_data.district import planning_case

SEPARATOR = "--"
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


def unverified(case: Case) -> Case:
    """``case`` with every verified item counted as one more unit of its model again."""
    units: Counter[tuple[str, str, str]] = Counter()
    for entry in case.stock:
        model = entry.model.partition(SEPARATOR)[0]
        units[entry.site, model, "working"] += entry.working
        units[entry.site, model, "broken"] += entry.broken
    stock = tuple(
        Stock(site=site, model=model, working=units[site, model, "working"],
              broken=units[site, model, "broken"])
        for site, model in sorted({(site, model) for site, model, _ in units})
    )  # fmt: skip
    models = tuple(model for model in case.device_models if SEPARATOR not in model.code)
    return case.model_copy(update={"device_models": models, "stock": stock})


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

    assert in_order(unverified(frozen.case)) == in_order(expected)


def test_two_devices_of_the_register_stand_in_the_case_as_they_were_measured(shipped):
    case = freeze_as_it_stands(Area.objects.get(kind="district")).case

    own = {model.code: model for model in case.device_models if SEPARATOR in model.code}
    assert {code: (model.evidence, model.max_units) for code, model in own.items()} == {
        # Forty specimens like the reference's raise the disc; the photometer's have expired.
        "centrifuge-hand-spun-disc--sw-0377": ("B", 0),
        # Too slow for the speed it is set to: its force is what was measured.
        "centrifuge-printed-adaptor--sw-0116": ("C", 0),
    }
    [role] = own["centrifuge-printed-adaptor--sw-0116"].serves
    assert role.specs["rcf_max_g"] == 598.4


def test_the_shipped_folders_loaded_again_change_nothing(shipped):
    again = [
        load_catalogue(folder=ROOT / "fixtures" / "catalogue", by=None),
        load_register(folder=ROOT / "fixtures" / "demo", by=None),
    ]

    assert [loaded.nothing_changed for loaded in again] == [True, True]
