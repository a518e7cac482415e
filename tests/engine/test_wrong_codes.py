"""Rules between places: codes that must be unique, that must differ, that must exist."""

import json

import pytest

from planner.engine.case import Case
from tests.factories.documents import EXAMPLE, example, part_at
from tests.factories.refusals import problems


@pytest.mark.parametrize(
    ("document", "lines"),
    [
        (example((("skills", 1, "code"), "microscopy"), (("sites", 2, "skills"), []),
                 (("methods", 1, "skills"), []), (("methods", 2, "skills"), []),
                 (("methods", 4, "skills"), [])),
         ['skills[1]: code "microscopy" is already used at skills[0]']),
        (example((("stock", 1, "model"), "micro-led")),
         ['stock[1]: site "millford", model "micro-led" is already used at stock[0]']),
        (example((("links", 1, "from"), "ashbrook")),
         ['links[1]: from "ashbrook", to "millford" is already used at links[0]']),
        (example((("sites", 0, "skills"), ["spinning", "microscopy", "spinning"])),
         ['sites[0].skills[2]: "spinning" is listed twice']),
        (example((("links", 0, "to"), "ashbrook")),
         ['links[0]: from and to must differ, both are "ashbrook"']),
        (example((("links", 0, "to"), "Millford")),
         ['links[0].to: there is no entry with code "Millford" in sites']),
        (example((("sites", 0, "demand", "anemia"), 3)),
         ['sites[0].demand.anemia: there is no entry with code "anemia" in tests']),
        (example((("limits", "earmarks", "hiv"), 3)),
         ['limits.earmarks.hiv: there is no entry with code "hiv" in programmes']),
        (example((("methods", 0, "test"), "hb")),
         ['methods[0].test: there is no entry with code "hb" in tests']),
        (example((("sites", 0, "code"), 17), (("links",), [])),
         ['sites[0].code: expected text of 1 to 100 characters, found 17']),
        (example((("areas",), "north")), ['areas: expected a list, found "north"']),
    ],
)  # fmt: skip
def test_a_code_that_is_repeated_or_leads_nowhere_is_named(document, lines):
    assert problems(document) == lines


def test_the_same_skill_at_two_sites_is_no_repetition():
    document = example((("sites", 0, "skills"), ["spinning"]))

    assert Case.read(json.dumps(document)).sites[0].skills == ("spinning",)


@pytest.mark.parametrize(
    ("steps", "named"),
    [
        (("device_models", 0, "programmes", 0), "programmes"),
        (("tests", 0, "programme"), "programmes"),
        (("methods", 0, "test"), "tests"),
        (("methods", 1, "skills", 0), "skills"),
        (("methods", 1, "infrastructure", 0), "infrastructure"),
        (("sites", 0, "area"), "areas"),
        (("sites", 1, "skills", 0), "skills"),
        (("sites", 1, "infrastructure", 0), "infrastructure"),
        (("stock", 0, "site"), "sites"),
        (("stock", 0, "model"), "device_models"),
        (("links", 0, "from"), "sites"),
        (("links", 0, "to"), "sites"),
    ],
)
def test_each_code_that_stands_for_an_entry_must_have_that_entry(steps, named):
    [line] = problems(example((steps, "nowhere")))

    assert line.endswith(f': there is no entry with code "nowhere" in {named}')


@pytest.mark.parametrize(
    "name",
    [
        *("areas", "programmes", "skills", "infrastructure", "device_models", "tests", "methods"),
        *("sites", "stock", "links"),
    ],
)
def test_an_entry_that_stands_twice_is_named_in_each_list(name):
    entries = EXAMPLE[name]

    [line] = problems(example(((name,), [*entries, entries[0]])))

    assert line.startswith(f"{name}[{len(entries)}]: ")
    assert line.endswith(f" is already used at {name}[0]")


@pytest.mark.parametrize(
    "steps",
    [
        ("device_models", 0, "programmes"),
        ("methods", 1, "skills"),
        ("methods", 1, "infrastructure"),
        ("sites", 1, "skills"),
        ("sites", 1, "infrastructure"),
    ],
)
def test_a_code_that_stands_twice_in_one_list_is_named(steps):
    [code] = part_at(EXAMPLE, steps)

    [line] = problems(example((steps, [code, code])))

    assert line.endswith(f'[1]: "{code}" is listed twice')
