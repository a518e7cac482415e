"""Small forms by which the register is filled, with scripts and without."""

import json

import pytest
from django.urls import reverse

from apps.facilities.models import Facility, Observation
from apps.inventory.models import (
    ConsumableHeld,
    EquipmentItem,
    InfrastructureHeld,
    Move,
    ServiceEntry,
    SkillHeld,
    StaffHeld,
)
from apps.web.forms.entries import EntryForm
from tests.api.register import make_person

HOW = {"observed_on": "2026-06-01", "basis": "observed", "observer": "staff", "why": ""}
FACTS = "/entry/sites/hill/facts/"
CONDITION = "/entry/items/hill-001/condition/"


def shown(client, path: str) -> dict[str, str]:
    """What the form at ``path`` holds when it is opened, as a browser would send it back."""
    form = client.get(path).context["entry"].form
    assert isinstance(form, EntryForm)
    return {name: form.initial.get(name) or "" for name in form.fields} | HOW


def send(client, path: str, **changed: str):
    return client.post(path, shown(client, path) | changed)


def test_a_form_without_scripts_keeps_what_was_written_and_says_so(pages):
    answer = send(pages, FACTS, population="13,000", water_source="well")

    assert (answer.status_code, answer.url) == (302, "/entry/sites/hill/")
    assert "Kept: What the site offers." in pages.get(answer.url).content.decode()
    hill = Facility.objects.get(code="hill")
    assert (hill.population, hill.water_source, hill.basis) == (13_000, "well", "observed")


def test_what_cannot_be_read_is_marked_beside_its_question_and_nothing_is_kept(pages):
    answer = send(pages, FACTS, population="many", power_hours_per_day="25")

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "“many” is not a number this form can read" in page
    assert "Write at most 24; “25” is more." in page
    assert not Observation.objects.exists()


def test_a_blank_answer_makes_a_fact_unknown_and_not_zero(pages):
    send(pages, FACTS, population="")

    assert Facility.objects.get(code="hill").population is None


def test_the_second_of_two_sees_both_values_and_who_wrote_the_other(pages, officer):
    mine = shown(pages, FACTS) | {"population": "14000", "connectivity": "voice"}
    send(pages, FACTS, population="13000")

    answer = pages.post(FACTS, mine)

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "When you opened the form it said: 12,000" in " ".join(page.split())
    assert "<b>13,000</b>" in page
    assert "<b>14,000</b>" in page
    assert f"written by {officer.username}" in page
    assert Facility.objects.get(code="hill").population == 13_000


@pytest.mark.parametrize(("use", "stays"), [("mine", 14_000), ("theirs", 13_000)])
def test_whoever_sees_both_decides_and_the_rest_of_the_entry_is_kept(pages, use, stays):
    mine = shown(pages, FACTS) | {"population": "14000", "connectivity": "voice"}
    send(pages, FACTS, population="13000")
    context = pages.post(FACTS, mine).context

    again = dict(context["sent"]) | {"seen": context["seen"], "use_population": use}
    answer = pages.post(FACTS, again)

    hill = Facility.objects.get(code="hill")
    assert answer.status_code == 302
    assert (hill.population, hill.connectivity) == (stays, "voice")


def test_a_script_is_answered_in_json(pages):
    entry = shown(pages, FACTS) | {"population": "13000"}

    answer = pages.post(FACTS, entry, headers={"Accept": "application/json"})

    assert (answer.status_code, answer.json()) == (
        200, {"kept": True, "where": "/entry/sites/hill/"},
    )  # fmt: skip


def test_an_entry_that_a_script_sends_twice_counts_once(pages):
    entry = shown(pages, FACTS) | {"population": "13000"}

    codes = [
        pages.post(FACTS, entry, headers={"Accept": "application/json"}).status_code
        for _ in range(2)
    ]

    assert (codes, Observation.objects.count()) == ([200, 200], 1)


def test_a_script_is_told_of_both_values(pages):
    entry = shown(pages, FACTS) | {"population": "14000"}
    send(pages, FACTS, population="13000")

    answer = pages.post(FACTS, entry, headers={"Accept": "application/json"})

    assert (answer.status_code, answer.json()) == (
        409,
        {
            "conflicts": [
                {
                    "name": "population",
                    "label": "People in the catchment",
                    "seen": "12,000",
                    "theirs": "13,000",
                    "yours": "14,000",
                    "now": "13000",
                }
            ]
        },
    )


def test_a_script_is_told_what_cannot_be_read(pages):
    entry = shown(pages, FACTS) | {"observed_on": "2199-01-01"}

    answer = pages.post(FACTS, entry, headers={"Accept": "application/json"})

    assert answer.status_code == 422
    assert list(answer.json()["errors"]) == ["observed_on"]


@pytest.mark.parametrize("seen", ["", "not json", "[]", json.dumps({"population": 7})])
def test_an_entry_that_does_not_say_what_was_shown_never_overwrites(pages, seen):
    answer = send(pages, FACTS, population="13000", seen=seen)

    assert answer.status_code == 409
    assert Facility.objects.get(code="hill").population == 12_000


def test_condition_and_reason_are_two_facts(pages):
    send(pages, CONDITION, condition="idle", reason="no_reagent")

    item = EquipmentItem.objects.get(code="hill-001")
    assert (item.condition, item.reason) == ("idle", "no_reagent")


def test_a_device_in_use_is_refused_a_reason_beside_the_question(pages):
    answer = send(pages, CONDITION, reason="no_power")

    assert answer.status_code == 422
    assert "It is in use. Leave the reason out" in answer.content.decode()


def test_a_device_is_added_with_its_facts(pages):
    answer = send(
        pages, "/entry/sites/ford/add-item/",
        device_model="cuvette-photometer", code="ford-1", condition="idle", supplier="A donor",
    )  # fmt: skip

    item = EquipmentItem.objects.get(code="ford-1")
    assert answer.status_code == 302
    assert (item.facility.code, item.supplier, item.observer) == ("ford", "A donor", "staff")


def test_the_file_of_a_device_is_filled(pages):
    send(
        pages, "/entry/items/hill-001/file/",
        manufacturer="A maker", received_on="2024-02-03", purchase_cost="900.50",
        instructions_held="no",
    )  # fmt: skip

    item = EquipmentItem.objects.get(code="hill-001")
    assert (item.manufacturer, str(item.received_on), float(item.purchase_cost)) == (
        "A maker", "2024-02-03", 900.5,
    )  # fmt: skip
    assert item.instructions_held == "no"


def test_a_device_is_moved_within_the_areas_of_the_writer_only(pages):
    refused = send(pages, "/entry/items/hill-001/move/", to="coast", why="idle")
    send(pages, "/entry/items/hill-001/move/", to="ford", location="bench", why="idle")

    assert refused.status_code == 422
    assert [move.destination.code for move in Move.objects.all()] == ["ford"]


def test_a_service_is_logged(pages):
    send(
        pages, "/entry/items/hill-001/service/",
        kind="repair", cause="motor", days_down="12", cost="30",
    )  # fmt: skip

    entry = ServiceEntry.objects.get()
    assert (entry.kind, entry.cause, entry.days_down, str(entry.done_on)) == (
        "repair", "motor", 12, "2026-06-01",
    )  # fmt: skip


def test_staff_skills_building_and_shelf_are_written_down(pages):
    send(pages, "/entry/sites/ford/staff/k2/", staff_count="2", testing_hours_per_week="7.5")
    send(pages, "/entry/sites/ford/skills/microscopy/", staff_count="1")
    send(pages, "/entry/sites/ford/infrastructure/water/", presence="absent")
    send(pages, "/entry/sites/ford/stock/reagent/", days_of_stock="0")

    ford = {"facility__code": "ford"}
    assert StaffHeld.objects.get(**ford).testing_hours_per_week == 7.5
    assert SkillHeld.objects.get(**ford).staff_count == 1
    assert InfrastructureHeld.objects.get(**ford).presence == "absent"
    assert ConsumableHeld.objects.get(**ford).days_of_stock == 0


@pytest.mark.parametrize(
    "path", ["/entry/sites/hill/staff/k9/", "/entry/sites/hill/skills/none/", "/entry/sites/coast/"]
)
def test_what_is_not_there_or_of_others_is_not_found(pages, path):
    assert pages.get(path).status_code == 404


@pytest.mark.parametrize("path", [FACTS, CONDITION, "/entry/", "/entry/sites/hill/"])
def test_an_auditor_writes_nothing_down(browse, register, path):
    auditor = browse(make_person("auditor", register.north))

    assert auditor.get(path).status_code == 403
    assert auditor.post(path, {"population": "1"} | HOW).status_code == 403


def test_entry_pages_show_no_name_of_whoever_is_signed_in(pages, officer):
    kept = [pages.get(path).content.decode() for path in (FACTS, CONDITION, "/entry/")]

    assert [officer.username in page for page in kept] == [False] * 3


def test_the_worker_answers_for_the_entry_pages_only(client):
    answer = client.get(reverse("web:entry-worker"))

    assert answer.headers["Content-Type"] == "text/javascript"
    assert reverse("web:entry-worker").startswith("/entry/")
