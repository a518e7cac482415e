"""Signing in, with a brake on guessing; one-time codes; invitations."""

import hashlib
from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy, ngettext

REFUSALS_ALLOWED = 5
WINDOW_SECONDS = 300


class Brake:
    """Refuses after five refused tries within five minutes of what ``parts`` name.

    The times are kept in the shared cache, so that all processes count together. Two tries
    in the same instant may count as one: a brake, not a lock.
    """

    def __init__(self, *parts: str) -> None:
        # A digest, because a cache key may not hold every character that a name may.
        self._key = f"sign-in-{hashlib.sha256(' '.join(parts).encode()).hexdigest()}"
        self._now = timezone.now().timestamp()

    def check(self) -> None:
        """Raises ``ValidationError`` with the code ``throttled`` while it holds."""
        refused = self._refused()
        if len(refused) >= REFUSALS_ALLOWED:
            raise ValidationError(_wait(refused[0] + WINDOW_SECONDS - self._now), code="throttled")

    def note_refusal(self) -> None:
        cache.set(self._key, [*self._refused(), self._now], WINDOW_SECONDS)

    def release(self) -> None:
        cache.delete(self._key)

    def _refused(self) -> list[float]:
        since = self._now - WINDOW_SECONDS
        return [moment for moment in cache.get(self._key, []) if moment > since]


class SignInForm(AuthenticationForm):
    """Name and password, braked for a name from an address."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": gettext_lazy("This name and password do not belong together."),
    }

    @property
    def is_throttled(self) -> bool:
        return self.has_error("__all__", "throttled")

    def clean(self) -> dict[str, Any]:
        name = self.cleaned_data.get("username", "").lower()
        brake = Brake(self.request.META.get("REMOTE_ADDR", ""), name)
        brake.check()
        try:
            cleaned = super().clean()
        except ValidationError:
            brake.note_refusal()
            raise
        brake.release()
        return cleaned


class CodeForm(forms.Form):
    """A one-time code, or a recovery code in its place."""

    code = forms.CharField(
        label=gettext_lazy("Code"),
        max_length=40,
        help_text=gettext_lazy(
            "Six digits from your device. Without the device: one of your recovery codes."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code"}),
    )


class InvitationForm(forms.Form):
    """Whom to invite, as what, and for which areas."""

    person = forms.CharField(
        label=gettext_lazy("For whom"),
        max_length=120,
        help_text=gettext_lazy("As the person is called at work; only you and auditors see it."),
    )
    role = forms.ChoiceField(label=gettext_lazy("Role"))
    areas = forms.MultipleChoiceField(
        label=gettext_lazy("Areas"),
        help_text=gettext_lazy("What lies below an area belongs to it."),
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, roles: Iterable[Any], areas: Iterable[Any], **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.fields["role"].choices = [(role.value, role.label) for role in roles]
        self.fields["areas"].choices = [(area.code, area.name) for area in areas]


class AcceptForm(forms.Form):
    """Name and password of a new account."""

    username = forms.CharField(
        label=gettext_lazy("Name to sign in with"),
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        widget=forms.TextInput(attrs={"autocomplete": "username"}),
    )
    password = forms.CharField(
        label=gettext_lazy("Password"),
        help_text=gettext_lazy("At least eight characters, not only digits, nothing common."),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label=gettext_lazy("The same password again"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("password") != cleaned.get("again"):
            self.add_error("again", gettext_lazy("The two passwords differ."))
        return cleaned


def _wait(seconds: float) -> str:
    minutes = max(1, round(seconds / 60))
    return ngettext(
        "Too many refused tries for this name. Wait %(minutes)d minute, then try again.",
        "Too many refused tries for this name. Wait %(minutes)d minutes, then try again.",
        minutes,
    ) % {"minutes": minutes}
