import hashlib
from typing import Any

from django.conf import settings
from django.db.models import QuerySet

from apps.accounts.models import Invitation, OpenSession, SecondFactor, User


def people() -> QuerySet[User]:
    """Everybody who may sign in, by username."""
    return User.objects.order_by("username")


def has_second_factor(user: Any) -> bool:
    """Whether ``user`` is asked for a code beside the password."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).exists()


def must_add_second_factor(user: Any) -> bool:
    """Whether ``user``'s role is one that has to have a second factor, and has none."""
    return user.role in settings.SECOND_FACTOR_ROLES and not has_second_factor(user)


def begun_second_factor(user: Any) -> SecondFactor | None:
    """The secret that waits for its first code, if there is one."""
    return SecondFactor.objects.filter(user=user, confirmed_at=None).first()


def recovery_codes_left(user: Any) -> int:
    """How many recovery codes ``user`` has not used yet; one query."""
    return user.recovery_codes.filter(used_at=None).count()


def open_sessions(user: Any) -> QuerySet[OpenSession]:
    """The browsers in which ``user`` is signed in, the latest first."""
    return user.open_sessions.all()


def invitations_by(user: Any) -> QuerySet[Invitation]:
    """The invitations that ``user`` made; all of them for administrators."""
    made = Invitation.objects.select_related("made_by", "accepted_by")
    return made if user.is_superuser else made.filter(made_by=user)


def open_invitation(code: str) -> Invitation | None:
    """The invitation that ``code`` belongs to, while it can be accepted."""
    digest = hashlib.sha256(code.encode()).hexdigest()
    found = Invitation.objects.filter(code_sha256=digest).first()
    return found if found and found.is_open else None
