from django.contrib.auth.models import AbstractUser
from django.db import models

from apps.accounts.choices import Role


class User(AbstractUser):
    """Somebody who signs in. Where they may look is set by ``facilities.Stewardship``."""

    role = models.CharField(max_length=20, choices=Role, default=Role.IN_CHARGE)
