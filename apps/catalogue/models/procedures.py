from django.db import models
from django.db.models import F, Q

from apps.catalogue.choices import ControlKind, Interval, Radius, Scaling, StepKind, Storage
from apps.catalogue.models.methods import Method, Need
from apps.catalogue.models.sources import AT_LEAST_ONE, NOT_NEGATIVE, SHARE, Named, Sourced, money


class SpinProcedure(Named, Sourced):
    """Force and time that a procedure asks for, as its source states them.

    Requirements ask devices for the band that is accepted, which may be wider: a single force
    becomes -10 to +20 %. Blank force: the source does not say.
    """

    rcf_g_low = models.FloatField(null=True, blank=True, validators=NOT_NEGATIVE)
    rcf_g_high = models.FloatField(null=True, blank=True, validators=NOT_NEGATIVE)
    radius = models.CharField(max_length=5, choices=Radius, default=Radius.R_MAX)
    minutes_low = models.FloatField(validators=NOT_NEGATIVE)
    minutes_high = models.FloatField(validators=NOT_NEGATIVE)
    gmin_scaling = models.CharField(max_length=12, choices=Scaling, default=Scaling.NONE)
    acceptance = models.TextField(blank=True, help_text="when a result counts, and what spoils it")

    class Meta(Named.Meta):
        constraints = [
            models.CheckConstraint(
                name="a_spin_states_its_lower_force_first",
                condition=Q(rcf_g_low=None, rcf_g_high=None)
                | Q(
                    rcf_g_low__isnull=False,
                    rcf_g_high__isnull=False,
                    rcf_g_low__lte=F("rcf_g_high"),
                ),
                violation_error_message="Give both forces, the lower first, or neither.",
            ),
            models.CheckConstraint(
                name="a_spin_states_its_shorter_time_first",
                condition=Q(minutes_low__lte=F("minutes_high")),
                violation_error_message="minutes_low must not be greater than minutes_high.",
            ),
        ]


class MethodStep(Sourced):
    """One step of a method, in order; minutes are those of the batch, waiting included."""

    method = models.ForeignKey(Method, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=10, choices=StepKind)
    text = models.CharField(max_length=300)
    minutes = models.FloatField(
        null=True, blank=True, validators=NOT_NEGATIVE, help_text="for the batch; blank: unknown"
    )
    need = models.ForeignKey(
        Need,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="steps",
        help_text="the device that the step uses",
    )
    spin = models.ForeignKey(
        SpinProcedure, null=True, blank=True, on_delete=models.PROTECT, related_name="steps"
    )

    class Meta:
        ordering = ["method__code", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["method", "position"], name="a_method_numbers_its_steps"
            ),
            models.CheckConstraint(
                name="only_a_spin_follows_a_spin_procedure",
                condition=Q(spin=None) | Q(kind=StepKind.SPIN),
                violation_error_message="Only a step of the kind spin has a spin procedure.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.method.code}, step {self.position}: {self.text}"


class QualityControl(Sourced):
    """A control that a method needs, how often, and the tests it adds."""

    method = models.ForeignKey(Method, on_delete=models.CASCADE, related_name="controls")
    kind = models.CharField(max_length=10, choices=ControlKind)
    every = models.FloatField(validators=NOT_NEGATIVE, help_text="1 with day: once a day")
    interval = models.CharField(max_length=10, choices=Interval)
    extra_tests_share = models.FloatField(
        validators=SHARE, help_text="tests used for it, as a share of tests done"
    )

    class Meta:
        ordering = ["method__code", "kind"]
        constraints = [
            models.UniqueConstraint(
                fields=["method", "kind"], name="a_method_has_a_kind_of_control_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.method.code}: {self.kind}, every {self.every:g} {self.interval}"


class Consumable(Named, Sourced):
    """Something that tests use up: its price, and what it asks of storage and transport."""

    unit = models.CharField(max_length=40, help_text="what one is: piece, mL, test")
    unit_price = money()
    storage = models.CharField(max_length=10, choices=Storage)
    ambient_max_c = models.FloatField(
        "greatest room temperature, degrees C", null=True, blank=True, help_text="blank: no matter"
    )
    shelf_life_months = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=AT_LEAST_ONE, help_text="blank: keeps"
    )
    litres_per_unit = models.FloatField(
        null=True, blank=True, validators=NOT_NEGATIVE, help_text="packed; blank: unknown"
    )


class MethodConsumable(Sourced):
    """How much of a consumable one test takes. A method lists all its consumables, or none."""

    method = models.ForeignKey(Method, on_delete=models.CASCADE, related_name="consumables")
    consumable = models.ForeignKey(Consumable, on_delete=models.PROTECT, related_name="uses")
    quantity = models.DecimalField(
        max_digits=10, decimal_places=4, validators=NOT_NEGATIVE, help_text="units per test"
    )

    class Meta:
        ordering = ["method__code", "consumable__code"]
        constraints = [
            models.UniqueConstraint(
                fields=["method", "consumable"], name="a_method_lists_a_consumable_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.method.code}: {self.quantity:g} {self.consumable}"
