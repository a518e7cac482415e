from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models

from apps.catalogue.choices import Grade
from apps.catalogue.models import SHARE, Programme, money
from apps.coverage.models import Document
from apps.facilities.models import Area, Facility
from apps.plans.choices import ActionKind, PlanState, RunState, StepKind
from apps.plans.querysets import PlanQuerySet


class Plan(models.Model):
    """A question: what should this district do with this money, within these limits?"""

    title = models.CharField(max_length=120)
    area = models.ForeignKey(
        Area,
        on_delete=models.PROTECT,
        related_name="plans",
        help_text="the district that is planned for",
    )
    capital = money(help_text="for purchases, repairs, training and infrastructure")
    recurrent = money(null=True, blank=True, help_text="a year; blank: no limit")
    trainer_days = models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)])
    max_units = models.PositiveSmallIntegerField(default=2, help_text="bought per site and model")
    minimum_evidence = models.CharField(max_length=1, choices=Grade, default=Grade.B)
    gap = models.FloatField(
        default=0.001, validators=SHARE, help_text="how far from the best possible is near enough"
    )
    time_limit_s = models.PositiveIntegerField(default=300)
    asked = models.JSONField(
        default=dict,
        blank=True,
        help_text="what is asked beyond the most tests for the money (adapters.Asked)",
    )
    state = models.CharField(max_length=10, choices=PlanState, default=PlanState.DRAFT)
    settled_run = models.ForeignKey(
        "Run",
        null=True,
        blank=True,
        on_delete=models.RESTRICT,
        related_name="+",
        help_text="the answer that was proposed or approved",
    )
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="plans"
    )

    objects = PlanQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-id"]

    def __str__(self) -> str:
        return self.title


class Earmark(models.Model):
    """Money on top of the capital that only models of one programme may use."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="earmarks")
    programme = models.ForeignKey(Programme, on_delete=models.PROTECT, related_name="+")
    amount = money()

    class Meta:
        ordering = ["programme__code"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "programme"], name="one_earmark_per_programme")
        ]

    def __str__(self) -> str:
        return f"{self.programme}: {self.amount}"


class Floor(models.Model):
    """The share of an area's largest possible objective that the plan must reach."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="floors")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="+")
    share = models.FloatField(validators=SHARE)

    class Meta:
        ordering = ["area__code"]
        constraints = [models.UniqueConstraint(fields=["plan", "area"], name="one_floor_per_area")]

    def __str__(self) -> str:
        return f"{self.area}: {self.share:.0%}"


class Run(models.Model):
    """One computation of a plan: its progress while it lasts, its answer when it is done."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="runs")
    state = models.CharField(max_length=20, choices=RunState, default=RunState.QUEUED)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    heartbeat_at = models.DateTimeField(null=True)
    cancel_requested = models.BooleanField(default=False)
    phase = models.CharField(max_length=60, blank=True)
    message = models.TextField(blank=True, help_text="what went wrong and what to do")

    case = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")
    result = models.ForeignKey(Document, null=True, on_delete=models.PROTECT, related_name="+")
    engine_version = models.CharField(max_length=40, blank=True)
    status = models.CharField(max_length=20, blank=True, help_text="of the result")
    objective = models.FloatField(null=True)
    objective_before = models.FloatField(null=True)
    bound = models.FloatField(null=True)
    gap = models.FloatField(null=True)
    summary = models.JSONField(default=dict, help_text="money used, coverage before and after")

    class Meta:
        ordering = ["-asked_at", "-id"]

    def __str__(self) -> str:
        return f"{self.plan}, run {self.pk}: {self.get_state_display()}"


class Line(models.Model):
    """One action of a finished run, with its cost and its reason."""

    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="lines")
    facility = models.ForeignKey(Facility, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=10, choices=ActionKind)
    item_code = models.CharField(max_length=80)
    item_name = models.CharField(max_length=200)
    quantity = models.PositiveIntegerField()
    cost = money()
    reason = models.TextField()
    tests_per_year = models.FloatField(default=0)

    class Meta:
        ordering = ["facility__code", "kind", "item_code"]

    def __str__(self) -> str:
        return f"{self.facility}: {self.get_kind_display()} {self.quantity} {self.item_name}"


class Step(models.Model):
    """Somebody proposed, withdrew, sent back or approved a plan. Rows are only added."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="steps")
    run = models.ForeignKey(Run, on_delete=models.RESTRICT, related_name="+")
    kind = models.CharField(max_length=10, choices=StepKind)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    why = models.TextField(blank=True)

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.plan}: {self.get_kind_display()} by {self.by}"


class ReviewNote(models.Model):
    """A question or remark on a plan; replies hang on it until somebody closes it."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="notes")
    reply_to = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.RESTRICT, related_name="replies"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    text = models.TextField()
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    closed_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.by} on {self.plan}: {self.text[:60]}"
