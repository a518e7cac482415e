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
