import datetime as dt
import hashlib
import secrets
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from apps.accounts.choices import Role
from apps.accounts.models import Invitation, User
from apps.accounts.rules import INVITABLE, require
from apps.accounts.services.people import make_user
from apps.audit.services import record

OPEN_FOR = dt.timedelta(days=14)


class InvitationError(Exception):
    """An invitation that cannot be accepted: used, withdrawn, too old, or not ours."""


@transaction.atomic
def invite(
    *, person: str, role: Role | str, areas: Iterable[Any], by: User
) -> tuple[Invitation, str]:
    """Make an invitation and the code that its link carries, which is shown this once.

    ``areas``: those that the new account will answer for, all within the inviter's reach,
    which the caller has to see to.

    Raises ``PermissionDenied`` where ``by`` may not invite to this role.
    """
    require(by, "people.invite")
    if not by.is_superuser and role not in INVITABLE.get(Role(by.role), ()):
        raise PermissionDenied(f"{by} may not invite anybody as {Role(role).label}.")
    code = secrets.token_urlsafe(32)
    codes = [area.code for area in areas]
    invitation = Invitation.objects.create(
        code_sha256=_digest(code),
        person=person,
        role=role,
        area_codes=codes,
        made_by=by,
        expires_at=timezone.now() + OPEN_FOR,
    )
    record(
        "invitation.made",
        by=by,
        obj=invitation,
        after={"person": person, "role": role, "areas": codes},
    )
    return invitation, code


def accept_invitation(
    *, code: str, username: str, password: str, areas: Iterable[Any], by: None = None
) -> User:
    """Make the account that the invitation with ``code`` stands for.

    ``areas`` are the rows that its codes name; an area that is gone since is left out.
    ``by`` is nobody: whoever accepts is not signed in yet.

    Raises ``InvitationError`` where it cannot be accepted any more, ``ValidationError`` for
    a name that is taken or a weak password.
    """
    with transaction.atomic():
        held = Invitation.objects.select_for_update().filter(code_sha256=_digest(code)).first()
        if held is None or not held.is_open:
            raise InvitationError(
                "This invitation was used, withdrawn or is too old. Ask for another one."
            )
        user = make_user(username=username, password=password, role=held.role, areas=areas, by=by)
        held.accepted_by = user
        held.save(update_fields=["accepted_by"])
        record("invitation.accepted", by=user, obj=held, after={"username": username})
    return user


@transaction.atomic
def withdraw_invitation(*, invitation: Invitation, by: User) -> None:
    """Make an open invitation void. Raises ``PermissionDenied`` where ``by`` may not."""
    require(by, "people.invite")
    held = Invitation.objects.select_for_update().get(pk=invitation.pk)
    if held.is_open:
        held.withdrawn_at = timezone.now()
        held.save(update_fields=["withdrawn_at"])
        record("invitation.withdrawn", by=by, obj=held)


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
