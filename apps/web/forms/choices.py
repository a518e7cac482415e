"""What several forms choose from."""

from collections.abc import Iterable
from typing import Any, Protocol

from django.utils.translation import gettext_lazy as _


class Choice(Protocol):
    """An area or a programme, as far as a form needs it."""

    code: str
    name: str


def with_any(choices: Iterable[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    """``choices`` after an empty one that stands for all of them."""
    return [("", _("any")), *choices]
