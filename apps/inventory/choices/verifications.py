from django.db import models

from apps.catalogue.choices import Measure


class VerificationKind(models.TextChoices):
    """What was measured on one device, and so what its readings look like."""

    SPIN = "spin", "Speed log of a spin"
    PAIRED = "paired", "Same specimens on the device and on a reference"
    YES_NO = "yes_no", "Positive or negative, against a reference"
    TEMPERATURE = "temperature", "Temperature, against a thermometer"
    TIMER = "timer", "Timer, against a stopwatch"
    VOLUME = "volume", "Volumes dispensed, by weighing"
    WAVELENGTH = "wavelength", "Wavelengths, against filters of known peak"


# What each kind of readings can say something about; a limit on anything else stays open.
MEASURES_OF: dict[str, frozenset[str]] = {
    VerificationKind.SPIN: frozenset({Measure.SPEED_ERROR_PCT}),
    VerificationKind.PAIRED: frozenset(
        {
            Measure.BIAS,
            Measure.LIMITS_OF_AGREEMENT,
            Measure.TOTAL_ERROR,
            Measure.TOTAL_ERROR_PCT,
            Measure.DUPLICATES,
            Measure.CV_PCT,
        }
    ),
    VerificationKind.YES_NO: frozenset(
        {Measure.SENSITIVITY, Measure.SPECIFICITY, Measure.AGREEMENT}
    ),
    VerificationKind.TEMPERATURE: frozenset({Measure.TEMPERATURE_ERROR_CEL}),
    VerificationKind.TIMER: frozenset({Measure.TIMER_ERROR_PCT}),
    VerificationKind.VOLUME: frozenset({Measure.VOLUME_ERROR_PCT}),
    VerificationKind.WAVELENGTH: frozenset({Measure.WAVELENGTH_ERROR_NM}),
}


# Kinds that hold results against a reference. Only these can make up for evidence that a model
# lacks: a device that keeps its speed has not shown yet that its results are right.
OF_RESULTS = frozenset({VerificationKind.PAIRED, VerificationKind.YES_NO})


class SpinSetting(models.TextChoices):
    """How a spin was driven: which end of its forces the log measures."""

    GREATEST = "greatest", "As fast as it goes in use"
    LOWEST = "lowest", "As slow as it can be set"


# What a verification measures of a device, as attributes of the catalogue. A class that lacks
# the attribute is asked nothing of the kind by any method.
GREATEST_FORCE, LOWEST_FORCE, LARGEST_RADIUS = "rcf_max_g", "rcf_settable_min_g", "r_max_cm"
ATTRIBUTES_OF: dict[str, tuple[str, ...]] = {
    Measure.SPEED_ERROR_PCT: (GREATEST_FORCE, LOWEST_FORCE),
    Measure.CV_PCT: ("cv_pct",),
    Measure.TEMPERATURE_ERROR_CEL: ("temp_tolerance_c",),
    Measure.VOLUME_ERROR_PCT: ("systematic_error_pct",),
}


class Outcome(models.TextChoices):
    PASS = "pass", "Passed"
    FAIL = "fail", "Failed"
    NOT_ENOUGH = "not_enough", "Not enough readings"


class Operator(models.TextChoices):
    """Who measured, by training; nobody is named."""

    NURSE = "nurse", "Nurse or midwife"
    ASSISTANT = "assistant", "Laboratory assistant"
    TECHNICIAN = "technician", "Laboratory technician"
    TECHNOLOGIST = "technologist", "Technologist"
    ENGINEER = "engineer", "Biomedical engineer or technician"
    SUPERVISOR = "supervisor", "Visiting supervisor"


class Ending(models.TextChoices):
    """Why what was measured says nothing of the device any more, before its time is over."""

    REPAIRED = "repaired", "Repaired, or a part exchanged"
    CONDITION = "condition", "Broke, or its condition changed"
    MOVED = "moved", "Moved to another facility"
    CHANGED = "changed", "Adjusted or altered"


class Standing(models.TextChoices):
    """What can be said of one device today."""

    FAILED = "failed", "Failed"
    ENDED = "ended", "To be verified again: the device has changed"
    EXPIRED = "expired", "Expired"
    DUE = "due", "Valid, due soon"
    OPEN = "open", "Measured, not enough to say"
    NEVER = "never", "Never verified"
    VALID = "valid", "Valid"
