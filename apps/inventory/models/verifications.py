from django.db import models
from django.db.models import F, Q

from apps.catalogue.models import DeviceModel
from apps.facilities.models import Facility
from apps.inventory.choices import Ending, Operator, Outcome, VerificationKind
from apps.inventory.models.items import EquipmentItem
from apps.inventory.querysets import VerificationQuerySet


class Verification(models.Model):
    """What was measured on one item, and what that came to. A row is withdrawn, never edited.

    Limits, readings and figures are kept as they were: a later change of the catalogue or of
    the formulas does not change what was found. ``facility`` and ``device_model`` are those
    of the item at the time.
    """

    code = models.SlugField(max_length=80, unique=True)
    item = models.ForeignKey(EquipmentItem, on_delete=models.PROTECT, related_name="verifications")
    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="+")
    device_model = models.ForeignKey(DeviceModel, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=20, choices=VerificationKind)
    rule = models.SlugField(max_length=60, help_text="the set of limits it was held against")
    subject = models.SlugField(
        max_length=80, help_text="device class, method or test that the limits are for"
    )
    analyte = models.CharField(
        max_length=60, blank=True, help_text="what was measured, where the limits have several"
    )
    done_on = models.DateField()
    valid_until = models.DateField(null=True, blank=True, help_text="last day; blank: no pass")
    operator = models.CharField(max_length=20, choices=Operator)
    reference = models.CharField(max_length=200, help_text="instrument or method compared with")
    traceability = models.CharField(
        max_length=200, blank=True, help_text="certificate or standard that the reference rests on"
    )
    limits = models.JSONField(help_text="the rule's limits as they were, each with its source")
    readings = models.JSONField()
    figures = models.JSONField()
    measured = models.JSONField(
        default=dict, blank=True, help_text="attribute of the device class: measured value"
    )
    outcome = models.CharField(max_length=10, choices=Outcome)
    note = models.CharField(max_length=300, blank=True)
    recorded_at = models.DateTimeField(auto_now_add=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_by = models.CharField(max_length=20, choices=Ending, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)
    withdrawn_why = models.CharField(max_length=300, blank=True)

    objects = VerificationQuerySet.as_manager()

    class Meta:
        ordering = ["-done_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="only_a_pass_is_valid_until_a_day",
                condition=Q(
                    outcome=Outcome.PASS,
                    valid_until__isnull=False,
                    valid_until__gte=F("done_on"),
                )
                | (~Q(outcome=Outcome.PASS) & Q(valid_until=None)),
                violation_error_message="A pass is valid until a day after it; nothing else is.",
            ),
            models.CheckConstraint(
                name="a_verification_ends_for_a_reason",
                condition=Q(ended_on=None, ended_by="")
                | (Q(ended_on__isnull=False) & ~Q(ended_by="")),
                violation_error_message="Say when it ended and why, or neither.",
            ),
            models.CheckConstraint(
                name="a_verification_is_withdrawn_for_a_reason",
                condition=Q(withdrawn_on=None, withdrawn_why="")
                | (Q(withdrawn_on__isnull=False) & ~Q(withdrawn_why="")),
                violation_error_message="Say when it was withdrawn and why, or neither.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code}, {self.done_on}: {self.get_outcome_display()}"
