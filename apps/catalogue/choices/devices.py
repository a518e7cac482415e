from django.db import models


class SourceKind(models.TextChoices):
    """How far a number may be trusted; a planning default is shown as such wherever shown."""

    PUBLISHED = "published", "Published"
    COMMON_PRACTICE = "common_practice", "Common practice"
    PLANNING_DEFAULT = "planning_default", "Planning default"
    DEMO = "demo", "Invented for the demo"


class Grade(models.TextChoices):
    """Evidence behind a device model; A is best."""

    A = "A", "A: approved and evaluated with its intended users"
    B = "B", "B: approved, or two independent field evaluations"
    C = "C", "C: one evaluation"
    D = "D", "D: prototype or claim"


class Approval(models.TextChoices):
    NONE = "none", "None known"
    LOCAL = "local", "Approved in the country"
    STRINGENT = "stringent", "Recognised stringent authority or WHO prequalification"


class ValueKind(models.TextChoices):
    """What the values of a specification attribute look like."""

    NUMBER = "number", "Number"
    RANGE = "range", "Range, low and high"
    TEXT = "text", "Text"
    FLAG = "flag", "Yes or no"
    LIST = "list", "List"


class Comparator(models.TextChoices):
    """How a method's requirement is compared with a device's specification."""

    MIN = "min", "at least"
    MAX = "max", "at most"
    BETWEEN = "between", "within"
    COVERS = "covers", "range covers"
    IS = "is", "is"
    HAS = "has", "has all of"


class Radius(models.TextChoices):
    """Where on the rotor a centrifugal force is stated; forces at different radii differ."""

    R_MAX = "r_max", "at r_max, the tube tip"
    R_AV = "r_av", "at r_av, the middle of the tube"
    R_MIN = "r_min", "at r_min, the top of the liquid"


class Planned(models.TextChoices):
    """What planning ranges of a device class say."""

    PRICE = "price", "Price, US dollars of the 2020s, ex works"
    LIFE_YEARS = "life_years", "Life, years"
    MAINTENANCE_PCT = "maintenance_pct", "Maintenance, % of the price a year"
    POWER_W = "power_w", "Power drawn, W"
    TRAINING_DAYS = "training_days", "Training of users, days"
    VERIFICATION_MONTHS = "verification_months", "Time between verifications, months"
    SERVICE_MONTHS = "service_months", "Time between services, months"
