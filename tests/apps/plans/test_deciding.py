"""Who proposes may not approve; what was proposed stays as it was."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from apps.accounts.choices import Role
from apps.audit.models import Entry
from apps.coverage.models import Document
from apps.plans.models import Plan, Step
from apps.plans.services import (
    add_note,
    approve_plan,
    close_note,
    propose_plan,
    send_back,
    start_run,
    withdraw_proposal,
)
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district
from tests.factories.plans import make_plan, make_run

pytestmark = pytest.mark.django_db


@pytest.fixture
def planner():
    return make_person("planner", role=Role.PLANNER)


@pytest.fixture
def officer():
    return make_person("officer", role=Role.HEALTH_OFFICER)


@pytest.fixture
def run(planner):
    """A finished run that found a plan."""
    plan = make_plan(make_district("north"), planner)
    kept = Document.objects.create(sha256="d" * 64, content=b"")
    return make_run(plan, state="done", status="optimal", case=kept, result=kept)


@pytest.fixture
def proposed(run, planner):
    return propose_plan(plan=run.plan, run=run, by=planner)


def story(plan) -> list[tuple[str, str]]:
    return [(step.kind, step.by.username) for step in Step.objects.filter(plan=plan).order_by("pk")]


def test_a_plan_is_proposed_with_its_answer_and_approved_by_another_person(run, planner, officer):
    propose_plan(plan=run.plan, run=run, by=planner)
    plan = approve_plan(plan=run.plan, by=officer, why="within the budget")

    assert (plan.state, plan.settled_run) == ("approved", run)
    assert story(plan) == [("proposed", "planner"), ("approved", "officer")]


def test_nobody_approves_what_they_proposed(run, officer):
    propose_plan(plan=run.plan, run=run, by=officer)

    with pytest.raises(PermissionDenied, match="Nobody approves what they proposed"):
        approve_plan(plan=run.plan, by=officer)

    assert Plan.objects.get().state == "proposed"


def test_who_proposed_first_and_took_it_back_may_approve_the_proposal_of_another(
    run, officer, planner
):
    propose_plan(plan=run.plan, run=run, by=officer)
    withdraw_proposal(plan=run.plan, by=officer)
    propose_plan(plan=run.plan, run=run, by=planner)

    assert approve_plan(plan=run.plan, by=officer).state == "approved"


def test_a_plan_is_sent_back_with_a_reason_and_proposed_again(proposed, run, planner, officer):
    plan = send_back(plan=proposed, by=officer, why="too little for Upper block")
    assert (plan.state, plan.settled_run) == ("sent_back", None)
    assert plan.steps.first().why == "too little for Upper block"

    assert propose_plan(plan=plan, run=run, by=planner).state == "proposed"


@pytest.mark.parametrize("why", ["", "  \n"])
def test_nothing_is_sent_back_without_a_reason(proposed, officer, why):
    with pytest.raises(ValidationError, match="Say what has to change"):
        send_back(plan=proposed, by=officer, why=why)


@pytest.mark.parametrize("role", [Role.PLANNER, Role.AUDITOR, Role.IN_CHARGE])
def test_who_may_not_approve_may_not_send_back_either(proposed, role):
    person = make_person("other", role=role)

    for work in (
        lambda: approve_plan(plan=proposed, by=person),
        lambda: send_back(plan=proposed, by=person, why="no"),
    ):
        with pytest.raises(PermissionDenied):
            work()


def test_only_who_proposed_takes_the_proposal_back(proposed):
    other = make_person("other", role=Role.PLANNER)

    with pytest.raises(PermissionDenied, match="Only who proposed"):
        withdraw_proposal(plan=proposed, by=other)


@pytest.mark.parametrize(
    "wrong",
    [
        {"state": "failed"},
        {"state": "running"},
        {"result": None},
        {"status": "infeasible"},
    ],
)
def test_only_a_finished_answer_with_a_plan_can_be_proposed(run, planner, wrong):
    for name, value in wrong.items():
        setattr(run, name, value)
    run.save()

    with pytest.raises(ValidationError, match="Only a finished computation"):
        propose_plan(plan=run.plan, run=run, by=planner)


def test_the_answer_of_another_plan_cannot_be_proposed(run, planner):
    other = make_plan(run.plan.area, planner, title="Another")

    with pytest.raises(ValidationError):
        propose_plan(plan=other, run=run, by=planner)


def test_a_plan_is_proposed_once_at_a_time(proposed, run, planner):
    with pytest.raises(ValidationError, match="The plan is proposed"):
        propose_plan(plan=proposed, run=run, by=planner)


def test_an_approved_plan_goes_nowhere_else(proposed, run, planner, officer):
    plan = approve_plan(plan=proposed, by=officer)

    for work in (
        lambda: propose_plan(plan=plan, run=run, by=planner),
        lambda: withdraw_proposal(plan=plan, by=planner),
        lambda: send_back(plan=plan, by=officer, why="no"),
        lambda: approve_plan(plan=plan, by=officer),
    ):
        with pytest.raises(ValidationError, match="The plan is approved"):
            work()


def test_what_is_proposed_or_approved_is_not_computed_again(proposed, planner, officer):
    with pytest.raises(ValidationError, match="This plan is proposed: it stays as it is"):
        start_run(plan=proposed, by=planner)

    approve_plan(plan=proposed, by=officer)
    with pytest.raises(ValidationError, match="This plan is approved"):
        start_run(plan=proposed, by=planner)


def test_every_step_is_in_the_history(proposed, officer):
    approve_plan(plan=proposed, by=officer, why="good")

    told = Entry.objects.filter(action__startswith="plan.").order_by("pk")
    assert [(entry.action, entry.by.username, entry.before, entry.why) for entry in told] == [
        ("plan.proposed", "planner", {"state": "draft"}, ""),
        ("plan.approved", "officer", {"state": "proposed"}, "good"),
    ]
    assert {entry.place for entry in told} == {"north/"}


def test_an_auditor_asks_somebody_answers_and_the_auditor_closes(run, planner):
    auditor = make_person("auditor", role=Role.AUDITOR)
    note = add_note(plan=run.plan, text="Why two at Hill?", by=auditor)
    reply = add_note(plan=run.plan, text="One is a spare.", by=planner, reply_to=note)
    again = add_note(plan=run.plan, text="I see.", by=auditor, reply_to=reply)
    close_note(note=note, by=auditor)

    note.refresh_from_db()
    assert (note.closed_by, [each.text for each in note.replies.all()]) == (
        auditor,
        ["One is a spare.", "I see."],
    )
    assert again.reply_to == note


def test_a_closed_note_takes_no_reply(run, planner):
    note = add_note(plan=run.plan, text="?", by=planner)
    close_note(note=note, by=planner)

    with pytest.raises(ValidationError, match="This note is closed"):
        add_note(plan=run.plan, text="late", by=planner, reply_to=note)


def test_a_note_is_closed_by_its_writer_or_an_auditor(run, planner, officer):
    note = add_note(plan=run.plan, text="?", by=planner)

    with pytest.raises(PermissionDenied):
        close_note(note=note, by=officer)
    auditor = make_person("auditor", role=Role.AUDITOR)
    assert close_note(note=note, by=auditor).closed_by == auditor


def test_an_empty_note_and_one_of_somebody_in_charge_are_refused(run, planner):
    with pytest.raises(ValidationError, match="Write the note first"):
        add_note(plan=run.plan, text=" ", by=planner)
    with pytest.raises(PermissionDenied):
        add_note(plan=run.plan, text="x", by=make_person("in-charge", role=Role.IN_CHARGE))
