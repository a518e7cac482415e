from types import SimpleNamespace

from apps.facilities.models import Facility
from apps.web.hindrances import across

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

    assert [(each.reason, each.methods, each.sites, each.people) for each in found.hindrances] == [
        ("no working microscope", ["Blood film"], 2, 150),
        ("nobody trained in microscopy", ["Blood film"], 1, 100),
    ]


def test_the_remedy_is_the_cheapest_fix_and_says_what_all_that_money_helps_cost():
    repair = {"kind": "repair", "item": "microscope", "name": "Microscope", "cost": 40}
    buy = {**repair, "kind": "buy", "cost": 900}
    ash, birch, cedar = (row(code, 10, missing=[MICROSCOPE]) for code in ("ash", "birch", "cedar"))
    for site, fix in ((ash, buy), (birch, repair)):
        site.detail["fix"], site.fix_cost = [fix], fix["cost"]

    [hindrance] = across([ash, birch, cedar]).hindrances

    remedy = hindrance.remedy
    assert [action.words for action in remedy.actions] == ["Repair: Microscope"]
    assert (remedy.cost, remedy.sites, remedy.all_cost) == (40, 2, 940)


def test_what_money_cannot_put_right_has_no_remedy():
    [hindrance] = across([row("ash", 10, missing=[MICROSCOPE])]).hindrances

    assert hindrance.remedy is None


def test_receiving_sites_come_by_the_people_who_send_there():
    hub, post = (Facility(pk=at, code=code) for at, code in enumerate(("hub", "post"), start=1))
    senders = [row("ash", 5, "referred"), row("birch", 7, "referred"), row("cedar", 6, "referred")]
    for sender, goal in zip(senders, (hub, hub, post), strict=True):
        sender.referred_to = goal

    found = across(senders).destinations

    assert [(goal.site.code, goal.people) for goal in found] == [("hub", 12), ("post", 6)]


def test_sites_are_counted_for_every_method_that_runs_there():
    ash, birch = row("ash", 1, "runs"), row("birch", 1, "runs")
    ash.detail["methods"] = [{"code": "film", "name": "x", "runs": True, "missing": []}]
    birch.detail["methods"] = [
        {"code": code, "name": "x", "runs": code != "rapid", "missing": []}
        for code in ("film", "rapid", "stain")
    ]

    assert across([ash, birch]).runs_by_method == {"film": 2, "stain": 1}
