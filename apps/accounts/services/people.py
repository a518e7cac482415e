from collections.abc import Iterable
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.contrib.sessions.models import Session
from django.core.exceptions import ValidationError
from django.db import transaction

from apps.accounts.choices import Role
from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record


@transaction.atomic
def make_user(
    *,
    username: str,
    password: str,
    role: Role | str,
    areas: Iterable[Any] = (),
    by: User | None = None,
    first_name: str = "",
    last_name: str = "",
    email: str = "",
) -> User:
    """Make somebody who may sign in, with one role and the areas they answer for.

    An administrator sees every area and may use the administration pages; ``areas`` (rows
    of ``facilities.Area``) are what everybody else sees, with all that lies below.

    Raises ``ValidationError`` for a weak password, an unknown role or a username taken.
    """
    administers = role == Role.ADMINISTRATOR
    user = User(
        username=username,
        role=role,
        first_name=first_name,
        last_name=last_name,
        email=email,
        is_staff=administers,
        is_superuser=administers,
    )
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    user.save()
    codes = []
    for area in areas:
        # By the relation's own name, since accounts lie below facilities and know no areas.
        user.stewardships.create(area=area)
        codes.append(area.code)
    record("user.made", by=by, obj=user, after={"username": username, "role": role, "areas": codes})
    return user


@transaction.atomic
def set_password(*, user: User, password: str, by: User | None) -> None:
    """Give ``user`` another password. Raises ``ValidationError`` where it is weak."""
    validate_password(password, user)
    user.set_password(password)
    user.save(update_fields=["password"])
    record("password.set", by=by, obj=user)


@transaction.atomic
def close_account(*, user: User, by: User, why: str = "") -> None:
    """Let ``user`` sign in no more; what they did stays in their name.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` for the own account.
    """
    require(by, "people.change")
    if user == by:
        raise ValidationError("Nobody closes the account in which they are signed in.")
    user.is_active = False
    user.save(update_fields=["is_active"])
    Session.objects.filter(pk__in=user.open_sessions.values("session_key")).delete()
    user.open_sessions.all().delete()
    record("user.closed", by=by, obj=user, after={"username": user.username}, why=why)
