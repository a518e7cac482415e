"""Proposing, approving, sending back and noting, as pages."""

import pytest

from apps.plans.models import Plan, ReviewNote
from tests.api.register import make_person, make_plan
from tests.web.scene import make_run


@pytest.fixture
def planner(register):
    return make_person("planner", register.north)


@pytest.fixture
def run(register, planner):
    return make_run(make_plan(register.north, planner), planner)


@pytest.fixture
def planners(browse, planner):
    return browse(planner)


def page(client, run) -> str:
    return client.get(f"/plans/{run.plan_id}/").content.decode()


def propose(client, run):
    return client.post(f"/plans/{run.plan_id}/runs/{run.pk}/propose/", follow=True)


def decide(client, run, decision, why=""):
    data = {"decision": decision, "why": why}
    return client.post(f"/plans/{run.plan_id}/decide/", data, follow=True)


def test_a_planner_proposes_and_an_officer_approves(planners, pages, run):
    assert "Propose this answer" in page(planners, run)
    assert "Proposed. Somebody else has to approve it." in propose(planners, run).content.decode()
    assert "Approve</button>" not in page(planners, run)

    said = decide(pages, run, "approve", "good").content.decode()

    assert "Approved. The plan stays as it is from now on." in said
    assert "Compute it again" not in said
    assert Plan.objects.get().state == "approved"


def test_an_officer_sends_back_with_a_reason_that_the_planner_reads(planners, pages, run):
    propose(planners, run)
    assert "Say what has to change." in decide(pages, run, "send_back").content.decode()

    decide(pages, run, "send_back", "more for Ford")

    shown = page(planners, run)
    assert "more for Ford" in shown
    assert "Propose this answer" in shown


def test_an_officer_is_not_offered_to_approve_the_own_proposal(pages, run):
    propose(pages, run)

    assert "Nobody approves what they proposed." in page(pages, run)
    refused = decide(pages, run, "approve").content.decode()
    assert "Nobody approves what they proposed: ask somebody else." in refused
    assert Plan.objects.get().state == "proposed"


def test_the_own_proposal_is_withdrawn(planners, run):
    propose(planners, run)

    said = planners.post(f"/plans/{run.plan_id}/withdraw/", follow=True).content.decode()
    assert "The proposal is withdrawn." in said


def test_who_was_slower_is_told_how_the_plan_stands(planners, pages, run):
    propose(planners, run)
    decide(pages, run, "approve")

    assert (
        "The plan is approved, so this cannot be done"
        in decide(pages, run, "send_back", "no").content.decode()
    )


@pytest.mark.parametrize(
    "path", ["runs/{run}/propose/", "withdraw/", "decide/", "notes/add/", "notes/1/close/"]
)
def test_a_plan_of_another_district_is_not_found(browse, register, run, path):
    outsider = browse(make_person("health_officer", register.south))

    answer = outsider.post(f"/plans/{run.plan_id}/" + path.format(run=run.pk))

    assert answer.status_code == 404


def test_an_auditor_writes_notes_and_decides_nothing(browse, register, run, planners):
    auditor = browse(make_person("auditor", register.north))
    propose(planners, run)

    assert decide(auditor, run, "approve").status_code == 403
    assert propose(auditor, run).status_code == 403
    auditor.post(f"/plans/{run.plan_id}/notes/add/", {"text": "Why <two> at Hill?"})

    shown = page(planners, run)
    assert "Why &lt;two&gt; at Hill?" in shown
    note = ReviewNote.objects.get()
    planners.post(f"/plans/{run.plan_id}/notes/add/", {"text": "A spare.", "reply_to": note.pk})
    auditor.post(f"/plans/{run.plan_id}/notes/{note.pk}/close/")
    shown = page(planners, run)
    assert "A spare." in shown
    assert "closed by auditor-north" in shown


def test_a_note_on_another_plan_cannot_be_replied_to_here(planners, register, planner, run):
    other = make_plan(register.north, planner, title="Another")
    planners.post(f"/plans/{other.pk}/notes/add/", {"text": "?"})
    note = ReviewNote.objects.get()

    answer = planners.post(f"/plans/{run.plan_id}/notes/add/", {"text": "x", "reply_to": note.pk})

    assert answer.status_code == 404
