from django.db import models


class State(models.TextChoices):
    """What a site can do about a test; the values are those of the engine."""

    RUNS = "runs", "Can run it"
    REFERRED = "referred", "By referral"
    BLOCKED = "blocked", "Cannot"
    UNKNOWN = "unknown", "Unknown"
    NOT_EXPECTED = "not_expected", "Not expected here"


class Binding(models.TextChoices):
    """What a site runs out of first when more is asked of it."""

    STAFF = "staff", "Staff time"
    MACHINE = "machine", "Machine time"


class Use(models.TextChoices):
    """How busy staff or machines are; the limits stand in ``planner.engine.capacity``."""

    IDLE = "idle", "hardly used: consider sharing or referral"
    LOW = "low", "little used"
    FAIR = "fair", "fairly used"
    TARGET = "target", "well used"
    BUSY = "busy", "busy"
    QUEUEING = "queueing", "so busy that people wait"
    OVER = "over", "more asked than there is time for"
