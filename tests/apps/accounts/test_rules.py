"""Which role may do what, written out once more: the table that the district agreed to."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied

from apps.accounts.choices import Role
from apps.accounts.models import User
from apps.accounts.rules import IN_WORDS, PERMITTED, may, require

DEEDS = (
    "register.view", "register.change", "verification.record", "catalogue.publish",
    "demand.adopt", "coverage.refresh", "history.view", "people.change", "people.invite",
    "people.view", "plan.view", "plan.draft", "plan.run", "plan.review", "plan.approve",
)  # fmt: skip
# A column for each deed, in the order above.
AGREED = {
    "in_charge":      "yes yes yes -   -   -   -   -   -   -   -   -   -   -   -",
    "health_officer": "yes yes yes -   yes yes yes -   yes -   yes yes yes yes yes",
    "planner":        "yes yes -   yes yes yes yes -   -   -   yes yes yes yes -",
    "auditor":        "yes -   -   -   -   -   yes -   -   yes yes -   -   yes -",
    "administrator":  "yes yes yes yes yes yes yes yes yes yes yes yes yes yes yes",
}  # fmt: skip


@pytest.mark.parametrize("role", Role.values)
def test_a_role_may_do_what_was_agreed_and_nothing_else(role):
    user = User(username="ada", role=role)

    agreed = [word == "yes" for word in AGREED[role].split()]
    assert {deed: may(user, deed) for deed in DEEDS} == dict(zip(DEEDS, agreed, strict=True))


def test_every_deed_is_in_the_table_and_has_words():
    assert set(PERMITTED) == set(IN_WORDS) == set(DEEDS)


def test_a_superuser_may_do_everything_whatever_the_role():
    user = User(username="ada", role=Role.IN_CHARGE, is_superuser=True)

    assert [may(user, deed) for deed in DEEDS] == [True] * len(DEEDS)


@pytest.mark.parametrize(
    "user", [AnonymousUser(), User(role=Role.ADMINISTRATOR, is_active=False)], ids=["nobody", "off"]
)
def test_nobody_signed_in_or_switched_off_may_do_anything(user):
    assert [may(user, deed) for deed in DEEDS] == [False] * len(DEEDS)


def test_a_refusal_says_who_may_not_do_what_and_whom_to_ask():
    with pytest.raises(PermissionDenied) as refusal:
        require(User(username="ada", role=Role.AUDITOR), "plan.run")

    assert str(refusal.value) == (
        "ada may not start or stop the computation of a plan. "
        "Ask an administrator for another role."
    )


def test_the_command_line_may_do_everything():
    assert [require(None, deed) for deed in DEEDS] == [None] * len(DEEDS)
