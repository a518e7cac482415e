"""Finding the one thing that an address or a field names, among those the person may see."""

from collections.abc import Callable
from typing import Any, TypeVar

from django.core.exceptions import ObjectDoesNotExist
from rest_framework.exceptions import NotFound, ValidationError

Thing = TypeVar("Thing")


def found(what: str, read: Callable[..., Thing], user: Any, key: object) -> Thing:
    """``read(user, key)``; 404 where that is absent, or out of the person's areas.

    Both are one answer, so that nobody learns what exists elsewhere.
    """
    try:
        return read(user, key)
    except ObjectDoesNotExist as absent:
        raise NotFound(f"There is no {what} {key!r} that you may see.") from absent


def named(field: str, read: Callable[[], Thing], code: str) -> Thing:
    """``read()``; 400 at ``field`` where the ``code`` in the request names nothing visible."""
    try:
        return read()
    except ObjectDoesNotExist as absent:
        raise ValidationError({field: [f"There is no {code!r} that you may use here."]}) from absent
