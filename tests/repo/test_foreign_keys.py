"""Rows refer downwards only, as modules do: what no import contract can see in a string."""

import tomllib
from pathlib import Path

from django.apps import apps

ROOT = Path(__file__).resolve().parents[2]

# Relations that go up all the same, and why.
UPWARDS = {
    "audit.Entry.by": "the trail names people, by the setting AUTH_USER_MODEL and not by import",
}


def heights() -> dict[str, int]:
    """App to the number of its layer in the contract ``flow``, the lowest being 0."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    [flow] = [contract for contract in contracts if contract["id"] == "flow"]
    return {
        app.strip(" ()"): height
        for height, layer in enumerate(reversed(flow["layers"]))
        for app in layer.split("|")
    }


def relations() -> dict[str, tuple[str, str]]:
    """``app.Model.field`` to the app it stands in and the app it leads to."""
    ours = [config for config in apps.get_app_configs() if config.name.startswith("apps.")]
    return {
        f"{model._meta.label}.{field.name}": (config.label, field.related_model._meta.app_label)
        for config in ours
        for model in config.get_models()
        for field in (*model._meta.fields, *model._meta.many_to_many)
        if field.is_relation
    }


def test_no_row_refers_to_one_of_a_layer_above_or_of_an_app_beside():
    height = heights()

    upwards = {
        name: apps
        for name, apps in relations().items()
        if apps[0] != apps[1] and apps[1] in height and height[apps[1]] >= height[apps[0]]
    }

    assert upwards.keys() == UPWARDS.keys()


def test_there_are_relations_between_apps_to_look_at():
    found = relations()

    assert found["plans.Plan.area"] == ("plans", "facilities")
    assert found["catalogue.Method.skills"] == ("catalogue", "catalogue")
