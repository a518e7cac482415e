from django.db import models


class AreaKind(models.TextChoices):
    DISTRICT = "district", "District"
    BLOCK = "block", "Block"


class Level(models.IntegerChoices):
    """Levels of care, lowest first; the number is the level in a planning case."""

    HEALTH_POST = 1, "Health post"
    HEALTH_CENTRE = 2, "Health centre"
    BLOCK_HOSPITAL = 3, "Block hospital"
    DISTRICT_HOSPITAL = 4, "District hospital"


class PowerSource(models.TextChoices):
    UNKNOWN = "unknown", "Not known"
    NONE = "none", "None"
    BATTERY = "battery", "Battery or small solar, up to 50 W"
    INTERRUPTIBLE = "interruptible", "Mains, interrupted"
    STABLE = "stable", "Mains with backup, all day"
