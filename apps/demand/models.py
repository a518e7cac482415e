from django.core.validators import MinValueValidator
from django.db import models

from apps.catalogue.models import LabTest
from apps.demand.choices import DemandBasis
from apps.demand.querysets import DemandQuerySet
from apps.facilities.models import Facility


class Demand(models.Model):
    """Tests a year that the people of a facility's catchment need; no row: none expected."""

    facility = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="demands")
    test = models.ForeignKey(LabTest, on_delete=models.PROTECT, related_name="demands")
    tests_per_year = models.FloatField(validators=[MinValueValidator(0)])
    basis = models.CharField(max_length=20, choices=DemandBasis)
    year = models.PositiveSmallIntegerField()

    objects = DemandQuerySet.as_manager()

    class Meta:
        ordering = ["facility__code", "test__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "test"], name="a_facility_has_one_demand_for_a_test"
            )
        ]

    def __str__(self) -> str:
        return f"{self.test} at {self.facility}: {self.tests_per_year:g} a year"
