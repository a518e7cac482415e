"""Which role may do what: the one table that every page, API route and task asks.

Where somebody may do it is the area tree's business (``facilities.querysets``).
"""

from typing import Literal

from apps.accounts.choices import Role
from apps.accounts.models import User

Deed = Literal[
    "register.view", "register.change", "coverage.refresh", "plan.view", "plan.draft", "plan.run"
]

ALL = frozenset(Role)
PERMITTED: dict[Deed, frozenset[Role]] = {
    "register.view": ALL,
    "register.change": frozenset(
        {Role.IN_CHARGE, Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}
    ),
    "coverage.refresh": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "plan.view": ALL - {Role.IN_CHARGE},
    "plan.draft": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
    "plan.run": frozenset({Role.HEALTH_OFFICER, Role.PLANNER, Role.ADMINISTRATOR}),
}


def may(user: User, deed: Deed) -> bool:
    """Whether ``user``'s role permits ``deed`` at all; nobody who is not signed in may."""
    if not user.is_authenticated or not user.is_active:
        return False
    return user.is_superuser or user.role in PERMITTED[deed]
