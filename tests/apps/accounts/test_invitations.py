import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from apps.accounts.choices import Role
from apps.accounts.models import Invitation, User
from apps.accounts.selectors import invitations_by, open_invitation
from apps.accounts.services import (
    InvitationError,
    accept_invitation,
    close_account,
    invite,
    withdraw_invitation,
)
from apps.audit.models import Entry
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district

pytestmark = pytest.mark.django_db
GOOD = "battery staple 9"


@pytest.fixture
def officer():
    return make_person("officer", role=Role.HEALTH_OFFICER)


@pytest.fixture
def north():
    return make_district("north")


def accept(code, north, username="newcomer", password=GOOD):
    return accept_invitation(code=code, username=username, password=password, areas=[north])


def test_an_accepted_invitation_makes_an_account_with_its_role_and_areas(officer, north):
    invitation, code = invite(person="Lab hill", role=Role.IN_CHARGE, areas=[north], by=officer)

    user = accept(code, north)

    assert (user.username, user.role, user.is_superuser) == ("newcomer", "in_charge", False)
    assert [held.area for held in user.stewardships.all()] == [north]
    assert user.check_password(GOOD)
    invitation.refresh_from_db()
    assert (invitation.accepted_by, invitation.is_open) == (user, False)


def test_the_code_itself_is_not_kept(officer, north):
    invitation, code = invite(person="x", role=Role.IN_CHARGE, areas=[north], by=officer)

    assert code not in str(Invitation.objects.values())
    assert open_invitation(code) == invitation
    assert open_invitation(invitation.code_sha256) is None


def test_an_invitation_works_once(officer, north):
    _, code = invite(person="x", role=Role.IN_CHARGE, areas=[north], by=officer)
    accept(code, north)

    with pytest.raises(InvitationError, match="Ask for another one"):
        accept(code, north, username="second")

    assert not User.objects.filter(username="second").exists()


@pytest.mark.parametrize(("days", "open_"), [(13.99, True), (14.01, False)])
def test_an_invitation_is_open_for_fourteen_days(officer, north, monkeypatch, days, open_):
    invitation, _ = invite(person="x", role=Role.IN_CHARGE, areas=[north], by=officer)
    later = timezone.now() + dt.timedelta(days=days)

    monkeypatch.setattr(timezone, "now", lambda: later)
    assert invitation.is_open is open_


def test_a_withdrawn_invitation_is_void_and_withdrawing_again_changes_nothing(officer, north):
    invitation, code = invite(person="x", role=Role.IN_CHARGE, areas=[north], by=officer)

    withdraw_invitation(invitation=invitation, by=officer)
    withdraw_invitation(invitation=invitation, by=officer)

    with pytest.raises(InvitationError):
        accept(code, north)
    assert Entry.objects.filter(action="invitation.withdrawn").count() == 1


def test_a_code_that_is_not_ours_is_refused(north):
    with pytest.raises(InvitationError):
        accept("made-up", north)


@pytest.mark.parametrize(
    ("role", "asked", "allowed"),
    [
        (Role.HEALTH_OFFICER, Role.IN_CHARGE, True),
        (Role.HEALTH_OFFICER, Role.PLANNER, False),
        (Role.HEALTH_OFFICER, Role.ADMINISTRATOR, False),
        (Role.PLANNER, Role.IN_CHARGE, False),
        (Role.AUDITOR, Role.IN_CHARGE, False),
        (Role.IN_CHARGE, Role.IN_CHARGE, False),
    ],
)
def test_who_may_invite_whom(north, role, asked, allowed):
    inviter = make_person("inviter", role=role)

    if allowed:
        assert invite(person="x", role=asked, areas=[north], by=inviter)
    else:
        with pytest.raises(PermissionDenied):
            invite(person="x", role=asked, areas=[north], by=inviter)


def test_an_administrator_invites_to_every_role():
    administrator = make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)

    for role in Role:
        assert invite(person="x", role=role, areas=[], by=administrator)


@pytest.mark.parametrize(("username", "password"), [("taken", GOOD), ("new", "1234")])
def test_a_name_that_is_taken_or_a_weak_password_leaves_the_invitation_open(
    officer, north, username, password
):
    make_person("taken")
    invitation, code = invite(person="x", role=Role.IN_CHARGE, areas=[north], by=officer)

    with pytest.raises(ValidationError):
        accept(code, north, username=username, password=password)

    invitation.refresh_from_db()
    assert invitation.is_open
    assert not User.objects.filter(username="new").exists()


def test_everybody_sees_their_own_invitations_and_administrators_all(officer, north):
    other = make_person("other", role=Role.HEALTH_OFFICER)
    mine, _ = invite(person="mine", role=Role.IN_CHARGE, areas=[north], by=officer)
    theirs, _ = invite(person="theirs", role=Role.IN_CHARGE, areas=[north], by=other)
    administrator = make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)

    assert list(invitations_by(officer)) == [mine]
    assert list(invitations_by(administrator)) == [theirs, mine]


def test_a_closed_account_cannot_sign_in_and_its_browsers_are_signed_out(client):
    administrator = make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)
    person = make_person("leaver")
    answer = client.post("/sign-in/", {"username": "leaver", "password": "correct horse"})
    assert answer.status_code == 302

    close_account(user=person, by=administrator)

    assert client.get("/account/").status_code == 302
    answer = client.post("/sign-in/", {"username": "leaver", "password": "correct horse"})
    assert "do not belong together" in answer.content.decode()


def test_nobody_closes_the_own_account_and_only_administrators_close_others(officer):
    administrator = make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)

    with pytest.raises(ValidationError):
        close_account(user=administrator, by=administrator)
    with pytest.raises(PermissionDenied):
        close_account(user=administrator, by=officer)
