"""Where numbers come from: each has a source and a kind, and no default passes as published."""

import datetime as dt

import pytest

from tests.fixtures_data.tables import FIXTURES, catalogue

KINDS = {"published", "common_practice", "planning_default"}
SOURCED = [
    "skills", "infrastructure", "device_models", "specifications", "tests", "methods",
    "needs", "requirements", "planning_ranges", "spin_procedures", "method_steps",
    "quality_controls", "consumables", "method_consumables", "verification_limits", "studies",
]  # fmt: skip


def claims():
    """(file, source, kind) of every sourced figure."""
    for name in SOURCED:
        for row in catalogue(name):
            yield name, row["source"], row["source_kind"]
    for row in catalogue("methods"):
        yield "sensitivity", row["sensitivity_source"], row["sensitivity_kind"]
        if row["specificity"]:
            yield "specificity", row["specificity_source"], row["specificity_kind"]


def test_every_figure_says_which_kind_it_is():
    assert {kind for _, _, kind in claims()} == KINDS


@pytest.mark.parametrize("name", SOURCED)
def test_every_figure_is_dated(name):
    assert {dt.date.fromisoformat(row["dated_on"]).year for row in catalogue(name)} == {2026}


def test_what_is_called_published_names_a_publication():
    kinds = {row["code"]: row["kind"] for row in catalogue("sources")}

    assert {source for _, source, kind in claims() if kinds[source] != kind == "published"} == set()


def test_common_practice_names_no_publication():
    assert {source for _, source, kind in claims() if kind == "common_practice"} == {
        "common-practice"
    }


def test_a_publication_says_whether_it_was_seen_or_is_quoted_from_memory():
    published = [row for row in catalogue("sources") if row["kind"] == "published"]
    words = ("seen", "from memory")

    assert [
        row["code"] for row in published if not any(word in row["note"].lower() for word in words)
    ] == []
    assert len(published) > 30


def test_only_single_figures_are_called_published_never_a_whole_row_of_them():
    """A test's weight, a method's minutes and a model's price have no publication behind them."""
    whole_rows = {
        "skills", "infrastructure", "device_models", "tests", "methods", "needs",
        "method_steps", "quality_controls", "consumables", "method_consumables",
    }  # fmt: skip

    assert {kind for name, _, kind in claims() if name in whole_rows} == {"planning_default"}


def test_every_source_is_used_or_explained():
    readmes = "".join(
        (FIXTURES / folder / "README.md").read_text(encoding="utf-8")
        for folder in ("catalogue", "demo")
    )
    used = {source for _, source, _ in claims()}

    assert [
        row["code"]
        for row in catalogue("sources")
        if row["code"] not in used and f"`{row['code']}`" not in readmes
    ] == []
