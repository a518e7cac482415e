from django.core.validators import MinValueValidator
from django.db import models

from apps.catalogue.models import DeviceModel, Infrastructure, Skill
from apps.facilities.models import Facility
from apps.inventory.choices import Basis, Condition, Presence, Reason
from apps.inventory.querysets import HoldingQuerySet


class Holding(models.Model):
    """Something that a facility has or lacks, with the day and the way it became known."""

    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="%(class)ss")
    observed_on = models.DateField(null=True, blank=True)
    basis = models.CharField(max_length=10, choices=Basis, default=Basis.REPORTED)

    objects = HoldingQuerySet.as_manager()

    class Meta:
        abstract = True


class EquipmentItem(Holding):
    """One device at one facility."""

    code = models.SlugField(max_length=60, unique=True, help_text="inventory number")
    device_model = models.ForeignKey(DeviceModel, on_delete=models.PROTECT, related_name="items")
    serial_number = models.CharField(max_length=80, blank=True)
    condition = models.CharField(max_length=20, choices=Condition, default=Condition.UNKNOWN)
    reason = models.CharField(max_length=30, choices=Reason, default=Reason.NONE, blank=True)
    received_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["facility__code", "code"]

    def __str__(self) -> str:
        return f"{self.code} {self.device_model}"


class SkillHeld(Holding):
    """How many people at a facility hold a skill; no row: not known."""

    skill = models.ForeignKey(Skill, on_delete=models.PROTECT, related_name="held")
    staff_count = models.PositiveSmallIntegerField(validators=[MinValueValidator(0)])
    last_trained_on = models.DateField(null=True, blank=True)

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
