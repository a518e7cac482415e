"""Signing in, with a brake on guessing."""

import hashlib
from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy, ngettext

REFUSALS_ALLOWED = 5
WINDOW_SECONDS = 300


class SignInForm(AuthenticationForm):
    """Refuses a name from an address after five refused tries within five minutes.

    The times are kept in the shared cache, so that all processes count together. Two tries
    in the same instant may count as one: a brake, not a lock.
    """

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": gettext_lazy("This name and password do not belong together."),
    }

    @property
    def is_throttled(self) -> bool:
        return self.has_error("__all__", "throttled")

    def clean(self) -> dict[str, Any]:
        key = self._cache_key()
        now = timezone.now().timestamp()
        refused = [moment for moment in cache.get(key, []) if moment > now - WINDOW_SECONDS]
        if len(refused) >= REFUSALS_ALLOWED:
            raise ValidationError(_wait(refused[0] + WINDOW_SECONDS - now), code="throttled")
        try:
            cleaned = super().clean()
        except ValidationError:
            cache.set(key, [*refused, now], WINDOW_SECONDS)
            raise
        cache.delete(key)
        return cleaned

    def _cache_key(self) -> str:
        name = self.cleaned_data.get("username", "").lower()
        address = self.request.META.get("REMOTE_ADDR", "")
        # A digest, because a cache key may not hold every character that a name may.
        return f"sign-in-{hashlib.sha256(f'{address} {name}'.encode()).hexdigest()}"


def _wait(seconds: float) -> str:
    minutes = max(1, round(seconds / 60))
    return ngettext(
        "Too many refused tries for this name. Wait %(minutes)d minute, then try again.",
        "Too many refused tries for this name. Wait %(minutes)d minutes, then try again.",
        minutes,
    ) % {"minutes": minutes}
