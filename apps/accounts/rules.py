"""Which role may do what: the one table that every page, API route, service and task asks.

Where somebody may do it is the area tree's business (``facilities.querysets``).
"""

from typing import Any, Literal

from django.core.exceptions import PermissionDenied

from apps.accounts.choices import Role

Deed = Literal[
    "register.view",
    "register.change",
    "verification.record",
    "catalogue.publish",
    "demand.adopt",
    "coverage.refresh",
    "history.view",
    "people.change",
    "people.invite",
    "people.view",
    "plan.view",
    "plan.draft",
    "plan.run",
    "plan.review",
    "plan.approve",
]

ALL = frozenset(Role)
PERMITTED: dict[Deed, frozenset[Role]] = {
    "register.view": ALL,
    "register.change": frozenset(
        {Role.IN_CHARGE, Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}
    ),
    # Those who stand at the bench or visit it; an auditor judges what they wrote down.
    "verification.record": frozenset({Role.IN_CHARGE, Role.HEALTH_OFFICER, Role.ADMINISTRATOR}),
    "catalogue.publish": frozenset({Role.PLANNER, Role.ADMINISTRATOR}),
    "coverage.refresh": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "history.view": ALL - {Role.IN_CHARGE},
    "people.change": frozenset({Role.ADMINISTRATOR}),
    "people.invite": frozenset({Role.HEALTH_OFFICER, Role.ADMINISTRATOR}),
    "people.view": frozenset({Role.AUDITOR, Role.ADMINISTRATOR}),
    "demand.adopt": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "plan.view": ALL - {Role.IN_CHARGE},
    "plan.draft": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "plan.run": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "plan.review": ALL - {Role.IN_CHARGE},
    # Never one's own proposal: ``plans.services`` sees to that.
    "plan.approve": frozenset({Role.HEALTH_OFFICER, Role.ADMINISTRATOR}),
}
IN_WORDS: dict[Deed, str] = {
    "register.view": "look at the register",
    "register.change": "change the register",
    "verification.record": "record or withdraw verifications of devices",
    "catalogue.publish": "publish a version of the catalogue",
    "coverage.refresh": "work out coverage anew",
    "history.view": "look at what was changed",
    "people.change": "close accounts and take second factors away",
    "people.invite": "invite people",
    "people.view": "look at the changes of accounts and roles",
    "demand.adopt": "adopt an estimate of demand",
    "plan.view": "look at plans",
    "plan.draft": "draft a plan",
    "plan.run": "start or stop the computation of a plan",
    "plan.review": "write notes on a plan",
    "plan.approve": "approve plans or send them back",
}
# Whom an inviter may invite; an administrator sees every area, so only one makes another.
INVITABLE: dict[Role, frozenset[Role]] = {
    Role.ADMINISTRATOR: ALL,
    Role.HEALTH_OFFICER: frozenset({Role.IN_CHARGE}),
}


def may(user: Any, deed: Deed) -> bool:
    """Whether ``user``'s role permits ``deed`` at all; nobody who is not signed in may."""
    if not user.is_authenticated or not user.is_active:
        return False
    return user.is_superuser or user.role in PERMITTED[deed]


def require(user: Any, deed: Deed) -> None:
    """Stop with ``PermissionDenied`` unless ``user`` may do ``deed``.

    ``None`` is the command line, whose user owns the database anyway.
    """
    if user is not None and not may(user, deed):
        raise PermissionDenied(
            f"{user} may not {IN_WORDS[deed]}. Ask an administrator for another role."
        )
