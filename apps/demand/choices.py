from django.db import models


class DemandBasis(models.TextChoices):
    """How the yearly number of tests was found."""

    SERVICE_STATISTICS = "service_statistics", "Service statistics"
    MORBIDITY = "morbidity", "Morbidity"
    CONSUMPTION = "consumption", "Consumption"
    DEMO = "demo", "Invented for the demo"
