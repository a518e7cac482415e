"""Rules between places: codes that must be unique, that must differ, that must exist."""

import json

import pytest

from planner.engine.case import Case
from tests.factories.documents import example
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
