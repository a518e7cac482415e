from django.db import models


class Measure(models.TextChoices):
    """What a verification compares with its limits."""

    BIAS = "bias", "Mean difference from the reference"
    LIMITS_OF_AGREEMENT = "limits_of_agreement", "95 % limits of agreement"
    DUPLICATES = "duplicates", "Difference of duplicates"
    CV_PCT = "cv_pct", "Coefficient of variation, %"
    TOTAL_ERROR = "total_error", "Total error"
    TOTAL_ERROR_PCT = "total_error_pct", "Total error, % of the reference"
    SENSITIVITY = "sensitivity", "Sensitivity"
    SPECIFICITY = "specificity", "Specificity"
    SPEED_ERROR_PCT = "speed_error_pct", "Error of speed, %"
    TIMER_ERROR_PCT = "timer_error_pct", "Error of the timer, %"
    TEMPERATURE_ERROR_CEL = "temperature_error_cel", "Error of temperature, degrees C"
    VOLUME_ERROR_PCT = "volume_error_pct", "Error of volume, %"
    WAVELENGTH_ERROR_NM = "wavelength_error_nm", "Error of wavelength, nm"
    AGREEMENT = "agreement", "Share of readings that agree"


class Setting(models.TextChoices):
    LABORATORY = "laboratory", "Laboratory"
    FIELD = "field", "Field"
