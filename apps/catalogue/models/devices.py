from django.db import models
from django.db.models import Q

from apps.catalogue.choices import Approval, Comparator, Grade, Planned, Radius, ValueKind
from apps.catalogue.models.resources import Programme
from apps.catalogue.models.sources import NOT_NEGATIVE, Named, Sourced, money

FORCE = "[g]"
"""The UCUM unit of a relative centrifugal force; a gram is ``g``."""


class DeviceClass(Named):
    """A class of device, such as centrifuge; it says which attributes describe it."""

    class Meta(Named.Meta):
        verbose_name_plural = "device classes"


class PlanningRange(Sourced):
    """What devices of a class usually cost, draw, last and take to learn; never a quotation."""

    device_class = models.ForeignKey(DeviceClass, on_delete=models.CASCADE, related_name="ranges")
    variant = models.CharField(
        max_length=60, blank=True, help_text="kind of device in the class; blank: the usual one"
    )
    measure = models.CharField(max_length=20, choices=Planned)
    low = models.FloatField(validators=NOT_NEGATIVE)
    high = models.FloatField(validators=NOT_NEGATIVE)

    class Meta:
        ordering = ["device_class__code", "variant", "measure"]
        constraints = [
            models.UniqueConstraint(
                fields=["device_class", "variant", "measure"],
                name="a_kind_of_device_has_one_range_of_a_measure",
            ),
            models.CheckConstraint(
                name="a_planning_range_starts_below_its_end",
                condition=Q(low__lte=models.F("high")),
                violation_error_message="low must not be greater than high.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.device_class.code}: {self.measure} {self.low:g} to {self.high:g}"


class Attribute(models.Model):
    """One property of a device class that a method may ask for. The code carries the unit.

    A force is a force at one radius: what is stated at another needs an attribute of its own,
    so that the two are never matched.
    """

    device_class = models.ForeignKey(
        DeviceClass, on_delete=models.CASCADE, related_name="attributes"
    )
    code = models.SlugField(max_length=60)
    name = models.CharField(max_length=200)
    value_kind = models.CharField(max_length=10, choices=ValueKind)
    ucum = models.CharField("UCUM unit", max_length=20, blank=True)
    comparator = models.CharField(
        max_length=10,
        choices=Comparator,
        blank=True,
        help_text="how a method may ask for it; blank: by any that fits the kind",
    )
    radius = models.CharField(
        max_length=5, choices=Radius, blank=True, help_text="of a centrifugal force"
    )
    observation = models.CharField(
        max_length=300, blank=True, help_text="the measurement that settles it when it is unknown"
    )

    class Meta:
        ordering = ["device_class__code", "code"]
        constraints = [
            models.UniqueConstraint(
                fields=["device_class", "code"], name="an_attribute_stands_once_in_a_class"
            ),
            models.CheckConstraint(
                name="a_radius_belongs_to_a_force",
                condition=Q(radius="") | Q(ucum=FORCE),
                violation_error_message=f"Only a force, in {FORCE}, is stated at a radius.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.device_class.code}.{self.code}"


class DeviceModel(Named, Sourced):
    """A generic device model: its evidence grade, money and hours. No brands."""

    evidence = models.CharField(max_length=1, choices=Grade)
    approval = models.CharField(max_length=10, choices=Approval, default=Approval.NONE)
    is_low_cost = models.BooleanField(default=False)
    price = money(help_text="landed: purchase, freight, installation")
    annual_cost = money(help_text="a year, per working unit")
    repair_cost = money()
    hours_per_year = models.FloatField(
        validators=NOT_NEGATIVE, help_text="usable machine hours of one working unit"
    )
    programmes = models.ManyToManyField(Programme, blank=True, related_name="device_models")
    cautions = models.TextField(blank=True)


class Specification(Sourced):
    """One property of a model in one role. A missing row is unknown, not a failure."""

    device_model = models.ForeignKey(
        DeviceModel, on_delete=models.CASCADE, related_name="specifications"
    )
    attribute = models.ForeignKey(Attribute, on_delete=models.PROTECT, related_name="+")
    value = models.JSONField(help_text="number, text, true or false, or a list of those")

    class Meta:
        ordering = ["device_model__code", "attribute__device_class__code", "attribute__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["device_model", "attribute"], name="a_model_states_an_attribute_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.device_model.code}: {self.attribute.code} = {self.value}"


class ServedClass(models.Model):
    """A device class that a model serves, even where no specification is known yet."""

    device_model = models.ForeignKey(
        DeviceModel, on_delete=models.CASCADE, related_name="served_classes"
    )
    device_class = models.ForeignKey(
        DeviceClass, on_delete=models.PROTECT, related_name="served_classes"
    )

    class Meta:
        ordering = ["device_model__code", "device_class__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["device_model", "device_class"], name="a_model_serves_a_class_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.device_model} as {self.device_class}"
