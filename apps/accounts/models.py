from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils import timezone

from apps.accounts.choices import Role


class User(AbstractUser):
    """Somebody who signs in. Where they may look is set by ``facilities.Stewardship``."""

    role = models.CharField(max_length=20, choices=Role, default=Role.IN_CHARGE)


class Invitation(models.Model):
    """A link that lets one person make an account with the role and areas named here.

    Only the digest of the code in the link is kept: who reads the database cannot use it.
    """

    code_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    person = models.CharField(max_length=120, help_text="for whom, as they are called at work")
    role = models.CharField(max_length=20, choices=Role)
    area_codes = models.JSONField(default=list)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="invitations"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    accepted_by = models.OneToOneField(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="invitation"
    )
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-made_at", "-id"]

    def __str__(self) -> str:
        return f"{self.person} as {self.get_role_display()}"

    @property
    def is_open(self) -> bool:
        """Whether it can still be accepted."""
        used = self.accepted_by_id is not None or self.withdrawn_at is not None
        return not used and timezone.now() < self.expires_at


class SecondFactor(models.Model):
    """The secret that a person's device makes one-time codes from (TOTP, RFC 6238).

    ``last_step`` is the latest time step whose code was used: no code counts twice.
    """

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="second_factor"
    )
    secret = models.CharField(max_length=64, editable=False)
    confirmed_at = models.DateTimeField(null=True)
    last_step = models.PositiveBigIntegerField(default=0, editable=False)

    def __str__(self) -> str:
        return f"second factor of {self.user}"


class RecoveryCode(models.Model):
    """A code that takes the place of a one-time code, once, for who has lost the device."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="recovery_codes"
    )
    code_sha256 = models.CharField(max_length=64, editable=False)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "code_sha256"], name="a_person_has_a_recovery_code_once"
            )
        ]

    def __str__(self) -> str:
        return f"recovery code of {self.user}"


class OpenSession(models.Model):
    """A browser in which somebody is signed in, so that they can end it from another one."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="open_sessions"
    )
    session_key = models.CharField(max_length=40, unique=True, editable=False)
    began_at = models.DateTimeField(auto_now_add=True)
    browser = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-began_at", "-id"]

    def __str__(self) -> str:
        return f"{self.user} since {self.began_at:%Y-%m-%d %H:%M}"
