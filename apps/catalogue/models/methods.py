from django.db import models
from django.db.models import Q

from apps.catalogue.choices import Biosafety, Cadre, ClinicalGrade, Comparator, SourceKind
from apps.catalogue.models.devices import Attribute, DeviceClass
from apps.catalogue.models.resources import Infrastructure, Programme, Skill
from apps.catalogue.models.sources import (
    AT_LEAST_ONE,
    NOT_NEGATIVE,
    SHARE,
    Named,
    Source,
    Sourced,
    money,
)

MINUTES_PER_HOUR = 60
# A third of a second: finer than anything that is timed here, and short in a case.
DECIMALS_OF_HOURS = 4


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
    clinical_grade = models.CharField(
        max_length=15, choices=ClinicalGrade, default=ClinicalGrade.ROUTINE
    )
    sensitivity = models.FloatField(validators=SHARE)
    sensitivity_source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="+")
    sensitivity_kind = models.CharField(max_length=20, choices=SourceKind)
    specificity = models.FloatField(
        null=True, blank=True, validators=SHARE, help_text="blank: unknown"
    )
    specificity_source = models.ForeignKey(
        Source, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    specificity_kind = models.CharField(max_length=20, choices=SourceKind, blank=True)
    cadre = models.CharField(max_length=2, choices=Cadre, default=Cadre.K3)
    batch_size = models.PositiveSmallIntegerField(
        default=1, validators=AT_LEAST_ONE, help_text="samples that are usually done together"
    )
    minutes_per_batch = models.FloatField(
        default=0, validators=NOT_NEGATIVE, help_text="hands-on, once for the batch"
    )
    minutes_per_sample = models.FloatField(
        default=0, validators=NOT_NEGATIVE, help_text="hands-on, for each sample besides"
    )
    consumable_cost = money(help_text="per test; where consumables are listed, their sum")
    biosafety = models.CharField(max_length=10, choices=Biosafety, default=Biosafety.CORE)
    cautions = models.TextField(blank=True)
    skills = models.ManyToManyField(Skill, blank=True, related_name="methods")
    infrastructure = models.ManyToManyField(Infrastructure, blank=True, related_name="methods")

    class Meta(Named.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_batch_holds_a_sample",
                condition=Q(batch_size__gte=1),
                violation_error_message="A batch holds one sample or more.",
            ),
            models.CheckConstraint(
                name="a_known_specificity_has_its_source",
                condition=Q(specificity=None, specificity_source=None, specificity_kind="")
                | Q(specificity__isnull=False, specificity_source__isnull=False)
                & ~Q(specificity_kind=""),
                violation_error_message="State specificity, its source and its kind, or none.",
            ),
        ]

    @property
    def staff_hours(self) -> float:
        """Hands-on hours of one test in a full batch, to a third of a second."""
        minutes = self.minutes_per_batch / self.batch_size + self.minutes_per_sample
        return round(minutes / MINUTES_PER_HOUR, DECIMALS_OF_HOURS)


class Need(Sourced):
    """A device class that a method uses, and how long one run of how many samples takes it."""

    method = models.ForeignKey(Method, on_delete=models.CASCADE, related_name="needs")
    position = models.PositiveSmallIntegerField()
    device_class = models.ForeignKey(DeviceClass, on_delete=models.PROTECT, related_name="needs")
    minutes_per_run = models.FloatField(
        default=0,
        validators=NOT_NEGATIVE,
        help_text="the device is taken; 0: must be there, takes no measurable time",
    )
    samples_per_run = models.PositiveSmallIntegerField(
        default=1, validators=AT_LEAST_ONE, help_text="samples that share a run"
    )

    class Meta:
        ordering = ["method__code", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["method", "position"], name="a_method_numbers_its_needs"
            ),
            models.CheckConstraint(
                name="a_run_holds_a_sample",
                condition=Q(samples_per_run__gte=1),
                violation_error_message="A run holds one sample or more.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.method.code}, need {self.position}: {self.device_class}"

    @property
    def hours(self) -> float:
        """Machine hours of one test in a full run, to a third of a second."""
        minutes = self.minutes_per_run / self.samples_per_run
        return round(minutes / MINUTES_PER_HOUR, DECIMALS_OF_HOURS)


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
