from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from apps.facilities.models import Facility
from apps.inventory.choices import Cause, Operator, ServiceKind
from apps.inventory.models.items import EquipmentItem
from apps.inventory.querysets import LogQuerySet


class Log(models.Model):
    """Something that happened to an item on a day. Rows are only ever added."""

    item = models.ForeignKey(EquipmentItem, on_delete=models.PROTECT, related_name="%(class)s_log")

    objects = LogQuerySet.as_manager()

    class Meta:
        abstract = True


class Move(Log):
    """An item was taken from one place to another, and why."""

    origin = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="+")
    destination = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="+")
    origin_location = models.CharField(max_length=120, blank=True)
    destination_location = models.CharField(max_length=120, blank=True)
    moved_on = models.DateField()
    why = models.CharField(max_length=300)

    class Meta:
        ordering = ["-moved_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "moved_on"], name="an_item_moves_once_a_day"),
            models.CheckConstraint(
                name="a_move_changes_the_place",
                condition=~Q(origin=F("destination"))
                | ~Q(origin_location=F("destination_location")),
                violation_error_message="The item is there already. Name another place.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item.code}, {self.moved_on}: {self.origin} to {self.destination}"


class ServiceEntry(Log):
    """One line of the service log of an item."""

    done_on = models.DateField()
    kind = models.CharField(max_length=20, choices=ServiceKind)
    cause = models.CharField(max_length=20, choices=Cause, blank=True)
    parts = models.CharField(max_length=200, blank=True, help_text="exchanged; blank: none")
    days_down = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0)], help_text="out of use for it"
    )
    cost = models.DecimalField(
        max_digits=14, decimal_places=4, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    done_by = models.CharField(
        max_length=20, choices=Operator, blank=True, help_text="by training; nobody is named"
    )
    next_due_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-done_on", "-pk"]
        verbose_name_plural = "service entries"
        constraints = [
            models.UniqueConstraint(
                fields=["item", "done_on", "kind"], name="one_service_of_a_kind_of_an_item_a_day"
            )
        ]

    def __str__(self) -> str:
        return f"{self.item.code}, {self.done_on}: {self.get_kind_display()}"
