"""Who may open which page. Somebody who may not always has something to leak."""

import pytest
from django.urls import reverse

from apps.web import urls
from tests.api.register import make_person, make_plan
from tests.web.scene import make_assessment, make_line, make_run

OPEN_TO_ALL = {
    "home", "sign-in", "sign-in-code", "sign-out", "invitation-accept",
    "method-list", "method-detail", "device-list", "device-detail",
    "device-check", "device-check-microscope", "device-check-photometer",
    # A script that says nothing of anybody.
    "entry-worker",
}  # fmt: skip
KEYS = {
    "code": "hill", "plan_id": 1, "run_id": 1, "kind": "facilities.facility", "key": "hill",
    "cadre": "k2", "skill": "microscopy", "item": "water", "username": "somebody",
    "session_id": 1, "invitation_id": 1, "note_id": 1,
    "upload_id": 1, "sheet": "equipment", "verdict": "new",
    "file_id": 1, "table": "equipment",
}  # fmt: skip
FILES = ("actions-csv", "actions-xlsx", "coverage-csv", "budgets-csv", "result-json", "case-json")
POSTS = (
    "coverage-refresh",
    "demand-restore",
    "invitation-withdraw",
    "note-add",
    "note-close",
    "person-close",
    "person-drop-factor",
    "plan-cancel",
    "plan-decide",
    "plan-propose",
    "plan-start",
    "plan-withdraw",
    "recovery-codes-renew",
    "second-factor-drop",
    "session-end",
    "session-end-others",
    "staff-adopt",
    "travel-time-upload",
    "upload-apply",
    "upload-cancel",
    "upload-choose",
    "upload-read-again",
    "upload-send",
    "upload-undo",
    "upload-workbook",
    "verification-end",
    "verification-withdraw",
    "version-publish",
)


def address(pattern) -> str:
    name = f"web:{pattern.name}"
    keys = {key: KEYS[key] for key in pattern.pattern.converters}
    return reverse(name, kwargs=keys)


GUARDED = [
    pattern for pattern in urls.urlpatterns if getattr(pattern, "name", "home") not in OPEN_TO_ALL
]


@pytest.fixture
def plan(register, officer):
    return make_plan(register.north, officer)


@pytest.fixture
def run(plan, officer, register):
    run = make_run(plan, officer)
    make_line(run, register.ford)
    return run


@pytest.mark.parametrize("pattern", GUARDED, ids=lambda pattern: getattr(pattern, "name", None))
def test_a_stranger_is_sent_to_the_sign_in_from_every_page(client, pattern, register):
    target = address(pattern)

    answer = client.post(target) if pattern.name in POSTS else client.get(target)

    assert (answer.status_code, answer.url) == (302, f"/sign-in/?next={target}")


@pytest.mark.parametrize("name", FILES)
def test_a_stranger_is_sent_to_the_sign_in_from_every_file(client, name, run):
    target = reverse(f"web:run-{name}", args=[run.plan_id, run.pk])

    assert client.get(target).url == f"/sign-in/?next={target}"


def test_the_bare_address_leads_to_the_sites(client):
    assert client.get("/").url == "/sites/"


@pytest.mark.parametrize("name", ["plan-detail", "plan-progress"])
def test_a_plan_of_another_district_is_not_found(browse, register, plan, name):
    outsider = browse(make_person("health_officer", register.south))

    assert outsider.get(reverse(f"web:{name}", args=[plan.pk])).status_code == 404


@pytest.mark.parametrize("name", ["plan-start", "plan-cancel"])
def test_nobody_starts_or_cancels_a_run_of_another_district(browse, register, plan, run, name):
    outsider = browse(make_person("health_officer", register.south))

    assert outsider.post(reverse(f"web:{name}", args=[plan.pk])).status_code == 404
    assert list(plan.runs.values_list("pk", "state")) == [(run.pk, "done")]


@pytest.mark.parametrize("name", ["detail", *FILES])
def test_a_run_of_another_district_is_not_found(browse, register, run, name):
    outsider = browse(make_person("health_officer", register.south))

    answer = outsider.get(reverse(f"web:run-{name}", args=[run.plan_id, run.pk]))

    assert answer.status_code == 404


def test_a_run_is_not_found_under_another_plan(pages, register, officer, run):
    other = make_plan(register.north, officer, title="Another")

    assert pages.get(reverse("web:run-detail", args=[other.pk, run.pk])).status_code == 404


def test_a_site_of_another_district_is_not_found(pages):
    assert pages.get("/sites/coast/").status_code == 404
    assert pages.get("/sites/hill/").status_code == 200


@pytest.mark.parametrize(
    "path", ["/sites/", "/coverage/", "/coverage/findings.csv", "/plans/draft/"]
)
def test_another_district_cannot_be_asked_for(pages, path):
    assert pages.get(path, {"district": "south"}).status_code == 404


def test_another_district_cannot_be_worked_out(pages, register):
    answer = pages.post("/coverage/refresh/", {"district": "south"})

    assert answer.status_code == 404
    assert not register.south.assessments.exists()


def test_lists_hold_nothing_of_another_district(browse, register, plan):
    make_assessment(register.north)
    outsider = browse(make_person("health_officer", register.south))

    shown = [outsider.get(path).content.decode() for path in ("/sites/", "/coverage/", "/plans/")]

    assert [name in page for page in shown for name in ("Hill", "Ford", plan.title)] == [False] * 9


@pytest.mark.parametrize(
    "path", ["/plans/", "/plans/draft/", "/plans/{plan}/", "/plans/{plan}/progress/"]
)
def test_somebody_in_charge_of_a_facility_does_not_see_plans(browse, register, plan, path):
    in_charge = browse(make_person("in_charge", register.north))

    answer = in_charge.get(path.format(plan=plan.pk))

    assert answer.status_code == 403
    assert "Your role does not permit this" in answer.content.decode()


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("get", "/plans/draft/"),
        ("post", "/plans/draft/"),
        ("post", "/plans/{plan}/start/"),
        ("post", "/plans/{plan}/cancel/"),
        ("post", "/coverage/refresh/"),
    ],
)
def test_an_auditor_reads_but_changes_nothing(browse, register, plan, method, path):
    auditor = browse(make_person("auditor", register.north))

    answer = getattr(auditor, method)(path.format(plan=plan.pk))

    assert answer.status_code == 403
    assert not plan.runs.exists()
    assert not register.north.assessments.exists()


def test_an_auditor_is_not_offered_what_an_auditor_may_not_do(browse, register, plan):
    auditor = browse(make_person("auditor", register.north))

    shown = "".join(
        auditor.get(path).content.decode()
        for path in ("/coverage/", "/plans/", f"/plans/{plan.pk}/")
    )

    offers = ("/coverage/refresh/", "/plans/draft/", f"/plans/{plan.pk}/start/")
    assert [offer in shown for offer in offers] == [False, False, False]


@pytest.mark.parametrize("name", POSTS)
def test_what_changes_something_cannot_be_got(pages, plan, name):
    target = address(next(pattern for pattern in GUARDED if pattern.name == name))

    assert pages.get(target).status_code == 405


def test_somebody_without_an_area_is_told_so_and_sees_nothing(browse, register, django_user_model):
    nobody = browse(django_user_model.objects.create_user("nobody", role="health_officer"))

    for path in ("/sites/", "/coverage/", "/plans/draft/"):
        page = nobody.get(path).content.decode()
        assert "No area is yours yet" in page
        assert "Hill" not in page


def test_only_questions_that_a_role_may_ask_stand_in_the_menu(browse, register):
    menus = {
        role: browse(make_person(role, register.north)).get("/sites/").content.decode()
        for role in ("in_charge", "auditor")
    }

    assert {role: "What should we buy?" in menu for role, menu in menus.items()} == {
        "in_charge": False,
        "auditor": True,
    }


def test_who_answers_for_a_block_alone_does_not_draft_a_plan_for_its_district(browse, register):
    officer = browse(make_person("health_officer", register.upper))

    assert officer.get("/plans/draft/", {"district": "north"}).status_code == 403
    assert officer.post("/plans/draft/", {"district": "north", "title": "x"}).status_code == 403
