from django.db import models


class Condition(models.TextChoices):
    """What state an item is in; why it is so is a separate fact."""

    IN_USE = "in_use", "In use"
    IDLE = "idle", "Works, not used"
    REPAIRABLE = "repairable", "Broken, can be repaired"
    BEYOND_REPAIR = "beyond_repair", "Broken beyond repair"
    INCOMPLETE = "incomplete", "A part is missing"
    AWAITING = "awaiting", "Awaits installation or verification"
    UNKNOWN = "unknown", "Not known"


# A unit that works may be used by a plan whether or not it is used today; one that can be
# put right counts as broken; everything else does not enter a planning case.
WORKING = frozenset({Condition.IN_USE, Condition.IDLE})
REPAIRABLE = frozenset({Condition.REPAIRABLE, Condition.INCOMPLETE})


class Reason(models.TextChoices):
    """Why an item is not in use."""

    NONE = "", "None given"
    FAULT = "fault", "Fault"
    NO_REAGENT = "no_reagent", "No reagent"
    NO_TRAINED_USER = "no_trained_user", "Nobody trained"
    NO_POWER = "no_power", "No power"
    NOT_INSTALLED = "not_installed", "Not installed"
    AWAITING_CALIBRATION = "awaiting_calibration", "Awaits calibration"
    STORED = "stored", "Stored away"
    OBSOLETE = "obsolete", "Obsolete"
    MISSING_PART = "missing_part", "Part missing"


class Presence(models.TextChoices):
    PRESENT = "present", "There"
    ABSENT = "absent", "Not there"
    UNKNOWN = "unknown", "Not known"


class Known(models.TextChoices):
    UNKNOWN = "", "Not known"
    YES = "yes", "Yes"
    NO = "no", "No"


class Arrival(models.TextChoices):
    """In what condition a device was received (ISO 15189:2022, 6.4.7)."""

    UNKNOWN = "", "Not known"
    NEW = "new", "New"
    USED = "used", "Used"
    RECONDITIONED = "reconditioned", "Reconditioned"
    DONATED = "donated", "Donated, new or used"
