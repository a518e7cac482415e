from django.conf import settings
from django.db import models

from apps.catalogue.models import LabTest
from apps.coverage.choices import Binding, State
from apps.facilities.models import Area, Facility


class Document(models.Model):
    """A planning case or a result, kept under its own digest and never changed.

    ``content`` is the gzipped canonical JSON; ``sha256`` is the digest of the JSON.
    """

    sha256 = models.CharField(max_length=64, primary_key=True)
    content = models.BinaryField(editable=False)
    kept_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.sha256[:12]


class Assessment(models.Model):
    """What every site of a district can do, worked out once from a frozen register."""

    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="assessments")
    case = models.ForeignKey(Document, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    engine_version = models.CharField(max_length=40)

    class Meta:
        ordering = ["-made_at", "-id"]
        get_latest_by = "made_at"

    def __str__(self) -> str:
        return f"{self.area}, {self.made_at:%Y-%m-%d %H:%M}"


class Finding(models.Model):
    """One site and one test of an assessment: the state, and what stands in the way."""

    assessment = models.ForeignKey(Assessment, on_delete=models.CASCADE, related_name="findings")
    facility = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="findings")
    test = models.ForeignKey(LabTest, on_delete=models.CASCADE, related_name="findings")
    state = models.CharField(max_length=20, choices=State)
    method_code = models.CharField(max_length=80, blank=True)
    referred_to = models.ForeignKey(Facility, null=True, on_delete=models.CASCADE, related_name="+")
    fix_cost = models.FloatField(null=True, help_text="of the cheapest set of fixes, if any")
    detail = models.JSONField(default=dict, help_text="missing things, fixes, questions, in words")

    class Meta:
        ordering = ["facility__code", "test__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "facility", "test"], name="one_finding_per_site_and_test"
            )
        ]

    def __str__(self) -> str:
        return f"{self.facility} {self.test}: {self.get_state_display()}"


class SiteWorkload(models.Model):
    """Whether one site has the time for the tests that an assessment finds it equipped for.

    Tests and hours a year. ``binding`` says what runs out first, ``binding_share`` how much of
    what is asked can be done before it does; blank and null where nothing that takes time is
    asked. A site whose testing hours are unknown has no row.
    """

    assessment = models.ForeignKey(Assessment, on_delete=models.CASCADE, related_name="workloads")
    facility = models.ForeignKey(Facility, on_delete=models.CASCADE, related_name="workloads")
    asked = models.FloatField()
    doable = models.FloatField()
    staff_needed_hours = models.FloatField()
    staff_available_hours = models.FloatField()
    binding = models.CharField(max_length=10, choices=Binding, blank=True)
    binding_share = models.FloatField(null=True)
    detail = models.JSONField(
        default=dict, help_text="tests, machines by class, what would relieve the site"
    )

    class Meta:
        ordering = ["facility__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "facility"], name="one_workload_of_a_site_in_an_assessment"
            )
        ]

    def __str__(self) -> str:
        return f"{self.facility}: {self.doable:g} of {self.asked:g} tests a year"
