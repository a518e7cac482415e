from django.db import models
from django.db.models import F, Q

from apps.catalogue.choices import Measure
from apps.catalogue.models.devices import DeviceClass
from apps.catalogue.models.methods import LabTest, Method
from apps.catalogue.models.sources import AT_LEAST_ONE, SHARE, Sourced


class VerificationLimit(Sourced):
    """What a measured device or method must keep to, for a class, a method or a test.

    Limits of one ``rule`` on one subject, analyte and range with an absolute and a relative
    error are alternatives: the wider of the two holds.
    """

    code = models.SlugField(max_length=80, unique=True)
    device_class = models.ForeignKey(
        DeviceClass, null=True, blank=True, on_delete=models.CASCADE, related_name="limits"
    )
    method = models.ForeignKey(
        Method, null=True, blank=True, on_delete=models.CASCADE, related_name="limits"
    )
    test = models.ForeignKey(
        LabTest, null=True, blank=True, on_delete=models.CASCADE, related_name="limits"
    )
    rule = models.SlugField(max_length=60, help_text="the set of limits that it belongs to")
    measure = models.CharField(max_length=25, choices=Measure)
    analyte = models.CharField(max_length=60, blank=True)
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    ucum = models.CharField("UCUM unit", max_length=20)
    share_within = models.FloatField(
        null=True, blank=True, validators=SHARE, help_text="of results; blank: all, or the mean"
    )
    range_low = models.FloatField(
        null=True, blank=True, help_text="smallest reference value it holds for"
    )
    range_high = models.FloatField(null=True, blank=True, help_text="it holds below this value")
    range_ucum = models.CharField("UCUM unit of the range", max_length=20, blank=True)
    minimum_samples = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=AT_LEAST_ONE
    )
    valid_months = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=AT_LEAST_ONE, help_text="how long a pass counts"
    )
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                name="a_limit_is_for_a_class_a_method_or_a_test",
                condition=Q(device_class__isnull=False, method=None, test=None)
                | Q(device_class=None, method__isnull=False, test=None)
                | Q(device_class=None, method=None, test__isnull=False),
                violation_error_message="Name one of device_class, method and test.",
            ),
            models.CheckConstraint(
                name="a_limit_has_an_end",
                condition=Q(low__isnull=False, high=None)
                | Q(low=None, high__isnull=False)
                | Q(low__isnull=False, high__isnull=False, low__lte=F("high")),
                violation_error_message="Give low, high, or both with the lower first.",
            ),
        ]

    def __str__(self) -> str:
        return self.code
