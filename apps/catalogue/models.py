from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.catalogue.choices import Comparator, Grade, SourceKind, ValueKind

NOT_NEGATIVE = [MinValueValidator(0)]
SHARE = [MinValueValidator(0), MaxValueValidator(1)]


def money(**options) -> models.DecimalField:
    """An amount in the district's currency, in whole units with four decimals."""
    return models.DecimalField(max_digits=14, decimal_places=4, validators=NOT_NEGATIVE, **options)


class Source(models.Model):
    """Where a number comes from: a standard, a guideline, a handbook, a study, a judgement."""

    code = models.SlugField(max_length=60, unique=True)
    title = models.CharField(max_length=300)
    kind = models.CharField(max_length=20, choices=SourceKind)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.title


class Sourced(models.Model):
    """A fact with its source, the kind of number it is, and the day it was taken down."""

    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    source_kind = models.CharField(max_length=20, choices=SourceKind)
    dated_on = models.DateField()

    class Meta:
        abstract = True


class Named(models.Model):
    code = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=200)

    class Meta:
        abstract = True
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class Programme(Named):
    """A health programme, whose earmarked money may pay for the models tagged with it."""


class Skill(Named, Sourced):
    training_cost = money()
    trainer_days = models.FloatField(validators=NOT_NEGATIVE)
    supervision_cost = money(help_text="per site and year")


class Infrastructure(Named, Sourced):
    """Something a site must offer, such as running water or power that may be interrupted."""

    class Meta(Named.Meta):
        verbose_name_plural = "infrastructure"


class InfrastructureCost(models.Model):
    """What it costs to provide it at a site of one level; no row: it cannot be given there."""

    infrastructure = models.ForeignKey(
        Infrastructure, on_delete=models.CASCADE, related_name="costs"
    )
    level = models.PositiveSmallIntegerField()
    cost = money()

    class Meta:
        ordering = ["infrastructure__code", "level"]
        constraints = [
            models.UniqueConstraint(
                fields=["infrastructure", "level"], name="one_cost_per_infrastructure_and_level"
            )
        ]

    def __str__(self) -> str:
        return f"{self.infrastructure} at level {self.level}"


class DeviceClass(Named):
    """A class of device, such as centrifuge; it says which attributes describe it."""

    class Meta(Named.Meta):
        verbose_name_plural = "device classes"


class Attribute(models.Model):
    """One property of a device class that a method may ask for. The code carries the unit."""

    device_class = models.ForeignKey(
        DeviceClass, on_delete=models.CASCADE, related_name="attributes"
    )
    code = models.SlugField(max_length=60)
    name = models.CharField(max_length=200)
    value_kind = models.CharField(max_length=10, choices=ValueKind)
    ucum = models.CharField("UCUM unit", max_length=20, blank=True)

    class Meta:
        ordering = ["device_class__code", "code"]
        constraints = [
            models.UniqueConstraint(
                fields=["device_class", "code"], name="an_attribute_stands_once_in_a_class"
            )
        ]

    def __str__(self) -> str:
        return f"{self.device_class.code}.{self.code}"


class DeviceModel(Named, Sourced):
    """A generic device model: its evidence grade, money and hours. No brands."""

    evidence = models.CharField(max_length=1, choices=Grade)
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


class LabTest(Named, Sourced):
    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="tests")
    weight = models.FloatField(validators=NOT_NEGATIVE, help_text="value of one correct test")
    max_transport_hours = models.FloatField(
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
        help_text="how long the specimen may travel; blank: it may not",
    )
    specimen = models.CharField(max_length=120, blank=True)
    lowest_level = models.PositiveSmallIntegerField(
        help_text="lowest level of care at which the test is expected"
    )


class Method(Named, Sourced):
    """One way to do a test: what it needs, how good it is, what one test takes."""

    test = models.ForeignKey(LabTest, on_delete=models.PROTECT, related_name="methods")
    sensitivity = models.FloatField(validators=SHARE)
    sensitivity_source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    sensitivity_kind = models.CharField(max_length=20, choices=SourceKind)
    staff_hours = models.FloatField(validators=NOT_NEGATIVE, help_text="per test")
    consumable_cost = money(help_text="per test")
    skills = models.ManyToManyField(Skill, blank=True, related_name="methods")
    infrastructure = models.ManyToManyField(Infrastructure, blank=True, related_name="methods")


class Need(models.Model):
    """A device class that a method uses, and the machine hours of one test."""

    method = models.ForeignKey(Method, on_delete=models.CASCADE, related_name="needs")
    position = models.PositiveSmallIntegerField()
    device_class = models.ForeignKey(DeviceClass, on_delete=models.PROTECT, related_name="needs")
    hours = models.FloatField(
        validators=NOT_NEGATIVE, help_text="per test; 0: must be there, takes no measurable time"
    )

    class Meta:
        ordering = ["method__code", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["method", "position"], name="a_method_numbers_its_needs"
            )
        ]

    def __str__(self) -> str:
        return f"{self.method.code}, need {self.position}: {self.device_class}"


class Requirement(Sourced):
    """What a need asks of one attribute, with the source of the number."""

    need = models.ForeignKey(Need, on_delete=models.CASCADE, related_name="requirements")
    attribute = models.ForeignKey(Attribute, on_delete=models.PROTECT, related_name="+")
    comparator = models.CharField(max_length=10, choices=Comparator)
    value = models.JSONField()

    class Meta:
        ordering = ["need__method__code", "need__position", "attribute__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["need", "attribute"], name="a_need_asks_an_attribute_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.attribute.code} {self.get_comparator_display()} {self.value}"
