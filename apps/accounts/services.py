from collections.abc import Iterable
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.db import transaction

from apps.accounts.choices import Role
from apps.accounts.models import User
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
