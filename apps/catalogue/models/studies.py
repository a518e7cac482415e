from django.db import models
from django.db.models import F, Q

from apps.catalogue.choices import Setting
from apps.catalogue.models.devices import DeviceModel
from apps.catalogue.models.methods import Method
from apps.catalogue.models.sources import AT_LEAST_ONE, SHARE, Sourced


def _in_its_interval(name: str) -> Q:
    """Both ends or neither, and the figure, where it is known, between them.

    NULLs are ruled out by name: a database takes an unknown comparison as kept.
    """
    low, high = f"{name}_low", f"{name}_high"
    both = {f"{low}__isnull": False, f"{high}__isnull": False}
    return (
        Q(**{low: None, high: None})
        | Q(**both, **{name: None, f"{low}__lte": F(high)})
        | Q(**both, **{f"{name}__isnull": False, f"{low}__lte": F(name), f"{high}__gte": F(name)})
    )


class Study(Sourced):
    """One evaluation of a model or a method against a reference, with its figures.

    ``source_kind`` says of all its figures how far they may be trusted. Blank: not reported,
    or not seen.
    """

    code = models.SlugField(max_length=80, unique=True)
    device_model = models.ForeignKey(
        DeviceModel, null=True, blank=True, on_delete=models.CASCADE, related_name="studies"
    )
    method = models.ForeignKey(
        Method, null=True, blank=True, on_delete=models.CASCADE, related_name="studies"
    )
    setting = models.CharField(max_length=10, choices=Setting, blank=True)
    intended_users = models.BooleanField(
        null=True, blank=True, help_text="in the hands of those for whom it is meant"
    )
    peer_reviewed = models.BooleanField(default=True)
    limits_met = models.BooleanField(
        null=True, blank=True, help_text="limits that were set beforehand; blank: none, or unknown"
    )
    n = models.PositiveIntegerField(null=True, blank=True, validators=AT_LEAST_ONE)
    smallest_class = models.PositiveIntegerField(
        null=True, blank=True, help_text="people in the smaller of those with and without"
    )
    reference = models.CharField(max_length=200, blank=True, help_text="what it was held against")
    true_positive = models.PositiveIntegerField(null=True, blank=True)
    false_positive = models.PositiveIntegerField(null=True, blank=True)
    false_negative = models.PositiveIntegerField(null=True, blank=True)
    true_negative = models.PositiveIntegerField(null=True, blank=True)
    sensitivity = models.FloatField(null=True, blank=True, validators=SHARE)
    sensitivity_low = models.FloatField(null=True, blank=True, validators=SHARE)
    sensitivity_high = models.FloatField(null=True, blank=True, validators=SHARE)
    specificity = models.FloatField(null=True, blank=True, validators=SHARE)
    specificity_low = models.FloatField(null=True, blank=True, validators=SHARE)
    specificity_high = models.FloatField(null=True, blank=True, validators=SHARE)
    bias = models.CharField(max_length=300, blank=True, help_text="difference from the reference")

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "studies"
        constraints = [
            models.CheckConstraint(
                name="a_study_is_of_a_model_or_of_a_method",
                condition=Q(device_model__isnull=False, method=None)
                | Q(device_model=None, method__isnull=False),
                violation_error_message="Name a device model or a method, one of the two.",
            ),
            models.CheckConstraint(
                name="a_sensitivity_lies_in_its_interval",
                condition=_in_its_interval("sensitivity"),
                violation_error_message="The interval must hold the sensitivity.",
            ),
            models.CheckConstraint(
                name="a_specificity_lies_in_its_interval",
                condition=_in_its_interval("specificity"),
                violation_error_message="The interval must hold the specificity.",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def smaller_class(self) -> int | None:
        """People in the smaller of those with and without: as stated, else as counted."""
        counts = (
            self.true_positive,
            self.false_negative,
            self.true_negative,
            self.false_positive,
        )
        if self.smallest_class is not None or None in counts:
            return self.smallest_class
        return min(counts[0] + counts[1], counts[2] + counts[3])
