from django.db import models


class ServiceKind(models.TextChoices):
    PREVENTIVE = "preventive", "Preventive maintenance"
    REPAIR = "repair", "Repair"
    CALIBRATION = "calibration", "Calibration or check"
    MODIFICATION = "modification", "Modification"
    INCIDENT = "incident", "Damage or malfunction, nothing done yet"


class Cause(models.TextChoices):
    """What failed: the domains by which Malkin and Keane (2010) sort repair requests."""

    UNKNOWN = "", "Not known, or nothing failed"
    ELECTRICAL = "electrical", "Electrical, simple"
    MECHANICAL = "mechanical", "Mechanical"
    POWER_SUPPLY = "power_supply", "Power supply"
    PLUMBING = "plumbing", "Plumbing, leak or blockage"
    MOTOR = "motor", "Motor"
    USE = "use", "Installation or use"
    OTHER = "other", "Something else"


# After these the device is not the one that was measured before.
ALTERS = frozenset({ServiceKind.REPAIR, ServiceKind.MODIFICATION})


class DueKind(models.TextChoices):
    """What can fall due on a device."""

    CALIBRATION = "calibration", "Calibration or verification"
    SERVICE = "service", "Service"
    WARRANTY = "warranty", "Warranty ends"
    CONTRACT = "contract", "Service contract ends"
