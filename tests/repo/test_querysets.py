"""A queryset method is a named filter: one expression that narrows and never writes."""

import ast
from pathlib import Path

import pytest
from django.apps import apps
from django.db.models import QuerySet

ROOT = Path(__file__).resolve().parents[2]
WRITING = {
    "create", "bulk_create", "get_or_create", "update_or_create", "update", "bulk_update", "delete",
    "save",
}  # fmt: skip
METHODS = [
    (f"{path.parent.name}.{node.name}.{method.name}", method)
    for path in sorted((ROOT / "apps").glob("*/querysets.py"))
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.ClassDef)
    for method in node.body
    if isinstance(method, ast.FunctionDef)
]
MODELS = [
    model
    for config in apps.get_app_configs()
    if config.name.startswith("apps.")
    for model in config.get_models()
]


def test_there_are_querysets_to_look_at():
    assert "facilities.FacilityQuerySet.visible_to" in dict(METHODS)


@pytest.mark.parametrize("method", [row[1] for row in METHODS], ids=[row[0] for row in METHODS])
def test_a_method_is_one_expression(method):
    body = method.body[1:] if ast.get_docstring(method) else method.body

    assert [type(statement) for statement in body] == [ast.Return]


@pytest.mark.parametrize("method", [row[1] for row in METHODS], ids=[row[0] for row in METHODS])
def test_a_method_writes_nothing(method):
    called = {
        node.func.attr
        for node in ast.walk(method)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }

    assert called & WRITING == set()


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model._meta.label)
def test_a_queryset_is_named_after_its_model_or_what_the_model_is_a_kind_of(model):
    queryset = type(model._default_manager.all())

    kinds = [kind.__name__ for kind in model.__mro__]
    named = queryset.__name__.removesuffix("QuerySet")
    assert queryset is QuerySet or named in kinds or model._meta.label == "accounts.User"
