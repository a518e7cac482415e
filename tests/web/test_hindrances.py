from types import SimpleNamespace

from apps.web.hindrances import Hindrance, across

MICROSCOPE = {"kind": "need", "what": "microscope", "reason": "no working microscope"}
SKILL = {"kind": "skill", "what": "microscopy", "reason": "nobody trained in microscopy"}


def row(code, people, state="blocked", *, missing=()):
    methods = [{"code": "film", "name": "Blood film", "runs": False, "missing": list(missing)}]
    return SimpleNamespace(
        facility=SimpleNamespace(code=code, population=people),
        test=SimpleNamespace(code="malaria", name="Malaria"),
        state=state,
        method_code="",
        fix_cost=None,
        referred_to=None,
        detail={"methods": methods, "fix": [], "questions": []},
    )


def codes(found, state):
    return [site.facility.code for site in found.sites[state]]


def test_sites_stand_under_their_state_those_with_most_people_first():
    found = across([row("ash", 100), row("birch", 900), row("cedar", 500, "runs")])

    assert (codes(found, "blocked"), codes(found, "runs")) == (["birch", "ash"], ["cedar"])


def test_a_site_of_unknown_population_comes_last_and_adds_nobody():
    found = across([row("ash", None), row("birch", 1)])

    assert codes(found, "blocked") == ["birch", "ash"]
    assert found.people_without == 1


def test_reasons_are_counted_by_sites_and_people_the_one_most_people_meet_first():
    found = across(
        [
            row("ash", 100, missing=[MICROSCOPE, SKILL]),
            row("birch", 50, missing=[MICROSCOPE]),
            row("cedar", 9999, "unknown", missing=[SKILL]),
        ]
    )

    assert found.hindrances == [
        Hindrance("no working microscope", ["Blood film"], sites=2, people=150),
        Hindrance("nobody trained in microscopy", ["Blood film"], sites=1, people=100),
    ]
