from django.db import models


class DemandBasis(models.TextChoices):
    """How the yearly number of tests was found."""

    SERVICE_STATISTICS = "service_statistics", "Service statistics"
    MORBIDITY = "morbidity", "Morbidity"
    CONSUMPTION = "consumption", "Consumption"
    IMPORTED = "imported", "Taken over from a planning case"
    DEMO = "demo", "Invented for the demo"


class Origin(models.TextChoices):
    """How a count of tests or of units came to the register."""

    REPORTED = "reported", "Reported by the site"
    OBSERVED = "observed", "Counted in the site's own books"
    DEMO = "demo", "Invented for the demo"
