from django.db import models


class Role(models.TextChoices):
    """What somebody does here; what each may do stands in ``rules.py``."""

    IN_CHARGE = "in_charge", "Facility in-charge"
    HEALTH_OFFICER = "health_officer", "District health officer"
    PLANNER = "planner", "Programme planner"
    AUDITOR = "auditor", "Auditor"
    ADMINISTRATOR = "administrator", "Administrator"
