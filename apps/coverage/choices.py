from django.db import models


class State(models.TextChoices):
    """What a site can do about a test; the values are those of the engine."""

    RUNS = "runs", "Can run it"
    REFERRED = "referred", "By referral"
    BLOCKED = "blocked", "Cannot"
    UNKNOWN = "unknown", "Unknown"
    NOT_EXPECTED = "not_expected", "Not expected here"
