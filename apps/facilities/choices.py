from django.core.exceptions import ValidationError
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


class Basis(models.TextChoices):
    """How a fact reached the register."""

    OBSERVED = "observed", "Observed"
    REPORTED = "reported", "Reported"
    IMPORTED = "imported", "Imported"


class Observer(models.TextChoices):
    """Who saw or reported it, by what they do there; nobody is named."""

    UNKNOWN = "", "Not known"
    IN_CHARGE = "in_charge", "Facility in-charge"
    STAFF = "staff", "Staff of the facility"
    SUPERVISOR = "supervisor", "Visiting supervisor"
    OFFICER = "officer", "District health office"
    ENGINEER = "engineer", "Biomedical engineer or technician"
    SURVEY = "survey", "Survey team"


class Water(models.TextChoices):
    """Where water for the laboratory comes from, the surest last."""

    UNKNOWN = "", "Not known"
    NONE = "none", "None"
    CARRIED = "carried", "Carried or delivered"
    TANK = "tank", "Rain water or a tank that is filled"
    WELL = "well", "Well or borehole on site"
    PIPED = "piped", "Piped, running"


class Connectivity(models.TextChoices):
    """What carries a message or a result from here, the widest last."""

    UNKNOWN = "", "Not known"
    NONE = "none", "None"
    VOICE = "voice", "Calls and text messages"
    MOBILE = "mobile", "Mobile data"
    FIXED = "fixed", "Fixed line or satellite"


class Biosafety(models.TextChoices):
    """Which requirements of the WHO Laboratory biosafety manual, 4th edition, are kept here."""

    UNKNOWN = "", "Not known"
    NONE = "none", "Core requirements are not met"
    CORE = "core", "Core requirements"
    HEIGHTENED = "heightened", "Heightened control measures"


class Weekday(models.TextChoices):
    """Days of the week, Monday first; their order is the number that the engine counts with."""

    MONDAY = "mon", "Monday"
    TUESDAY = "tue", "Tuesday"
    WEDNESDAY = "wed", "Wednesday"
    THURSDAY = "thu", "Thursday"
    FRIDAY = "fri", "Friday"
    SATURDAY = "sat", "Saturday"
    SUNDAY = "sun", "Sunday"


def weekdays(text: str) -> tuple[int, ...]:
    """``mon;thu`` as the numbers of the days, Monday 0; no text is no day.

    Raises ``ValidationError`` for what is not a day, stands twice, or is out of order.
    """
    names = [name.strip() for name in text.split(";")] if text else []
    days = [Weekday.values.index(name) for name in names if name in Weekday.values]
    if len(days) != len(names) or days != sorted(set(days)):
        expected = ";".join(Weekday.values)
        raise ValidationError(f"Expected days from {expected}, each once and in this order.")
    return tuple(days)


class TravelMode(models.TextChoices):
    """How people or specimens go; an unpaved road is one that rain can soften."""

    WALK = "walk", "On foot"
    UNPAVED = "unpaved", "By vehicle, unpaved road"
    PAVED = "paved", "By vehicle, paved road"


class Season(models.TextChoices):
    DRY = "dry", "Dry season"
    WET = "wet", "Wet season"
