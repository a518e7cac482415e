from django.db import models


class ClinicalGrade(models.TextChoices):
    """What an answer of the method may be used for, the strongest first."""

    CONFIRMATORY = "confirmatory", "Confirmatory"
    ROUTINE = "routine", "Routine"
    SCREENING = "screening", "Screening; confirm what is found"
    INVESTIGATIONAL = "investigational", "Investigational; never counted"


class Cadre(models.TextChoices):
    """The least trained who may do it, in the order of training."""

    K0 = "K0", "Community worker"
    K1 = "K1", "Nurse or midwife"
    K2 = "K2", "Laboratory assistant"
    K3 = "K3", "Laboratory technician"
    K4 = "K4", "Technologist"


class Biosafety(models.TextChoices):
    """Risk-based vocabulary of the WHO Laboratory biosafety manual, 4th edition."""

    NONE = "none", "Nothing infectious is handled"
    CORE = "core", "Core requirements"
    HEIGHTENED = "heightened", "Heightened control measures"


class StepKind(models.TextChoices):
    COLLECT = "collect", "Collect"
    PREPARE = "prepare", "Prepare"
    SPIN = "spin", "Spin"
    INCUBATE = "incubate", "Incubate or wait"
    STAIN = "stain", "Stain"
    MEASURE = "measure", "Measure"
    READ = "read", "Read"
    REPORT = "report", "Report"


class Scaling(models.TextChoices):
    """Whether a spin may be longer at less force, the product of the two being kept."""

    NONE = "none", "Force and time as stated"
    WITHIN_BAND = "within_band", "Equal g-minutes from 0.75 to 1.5 of the force"


class ControlKind(models.TextChoices):
    POSITIVE = "positive", "Positive control"
    NEGATIVE = "negative", "Negative control"
    LEVEL = "level", "Control of known level"
    BLANK = "blank", "Blank"
    DUPLICATE = "duplicate", "Duplicate"
    EXTERNAL = "external", "External assessment"


class Interval(models.TextChoices):
    TESTS = "tests", "tests"
    DAY = "day", "days"
    WEEK = "week", "weeks"
    MONTH = "month", "months"
    YEAR = "year", "years"
    LOT = "lot", "lots of reagent"


class Storage(models.TextChoices):
    AMBIENT = "ambient", "At room temperature"
    COOL = "cool", "At 2-8 degrees C"
    FROZEN = "frozen", "Frozen"
