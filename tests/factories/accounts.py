"""People. The password is always ``correct horse``."""

from typing import Any

from apps.accounts.models import User


def make_person(username: str = "somebody", **values: Any) -> User:
    """Somebody in charge of a facility, who stewards no area, unless told otherwise."""
    return User.objects.create_user(username, password="correct horse", **values)
