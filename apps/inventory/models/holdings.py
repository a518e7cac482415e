from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.catalogue.choices import Cadre
from apps.catalogue.models import Consumable, Infrastructure, Skill
from apps.facilities.choices import Basis, Observer
from apps.facilities.models import Facility
from apps.inventory.choices import Presence
from apps.inventory.querysets import HoldingQuerySet


class Holding(models.Model):
    """Something that a facility has or lacks, with the day and the way it became known."""

    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="%(class)ss")
    observed_on = models.DateField(null=True, blank=True)
    basis = models.CharField(max_length=10, choices=Basis, default=Basis.REPORTED)
    observer = models.CharField(max_length=20, choices=Observer, blank=True)

    objects = HoldingQuerySet.as_manager()

    class Meta:
        abstract = True


class SkillHeld(Holding):
    """How many people at a facility hold a skill; no row: not known."""

    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, related_name="held")
    staff_count = models.PositiveSmallIntegerField(validators=[MinValueValidator(0)])
    last_trained_on = models.DateField(null=True, blank=True)
    last_supervised_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["facility__code", "skill__code"]
        verbose_name_plural = "skills held"
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "skill"], name="a_facility_counts_a_skill_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.skill} at {self.facility}: {self.staff_count}"


class InfrastructureHeld(Holding):
    infrastructure = models.ForeignKey(
        Infrastructure, on_delete=models.PROTECT, related_name="held"
    )
    presence = models.CharField(max_length=10, choices=Presence, default=Presence.UNKNOWN)

    class Meta:
        ordering = ["facility__code", "infrastructure__code"]
        verbose_name_plural = "infrastructure held"
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "infrastructure"], name="a_facility_states_infrastructure_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.infrastructure} at {self.facility}: {self.get_presence_display()}"


class StaffHeld(Holding):
    """How many people of a cadre work at a facility, and how long each can test; no row: not known.

    People are counted, never named.
    """

    cadre = models.CharField(max_length=2, choices=Cadre)
    staff_count = models.PositiveSmallIntegerField()
    testing_hours_per_week = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="of each of them on average; blank: not known",
    )

    class Meta:
        ordering = ["facility__code", "cadre"]
        verbose_name_plural = "staff held"
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "cadre"], name="a_facility_counts_a_cadre_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_cadre_display()} at {self.facility}: {self.staff_count}"


class ConsumableHeld(Holding):
    """How long what is on the shelf lasts at the usual use; no row, or no number: not known."""

    consumable = models.ForeignKey(Consumable, on_delete=models.PROTECT, related_name="held")
    days_of_stock = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0)], help_text="0: stocked out"
    )
    expires_on = models.DateField(null=True, blank=True, help_text="the first to expire")

    class Meta:
        ordering = ["facility__code", "consumable__code"]
        verbose_name_plural = "consumables held"
        constraints = [
            models.UniqueConstraint(
                fields=["facility", "consumable"], name="a_facility_counts_a_consumable_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.consumable} at {self.facility}"
