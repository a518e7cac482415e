from django.db import models

from apps.catalogue.models.sources import NOT_NEGATIVE, Named, Sourced, money


class Programme(Named):
    """A health programme, whose earmarked money may pay for the models tagged with it."""


class Skill(Named, Sourced):
    training_cost = money()
    trainer_days = models.FloatField(validators=NOT_NEGATIVE)
    supervision_cost = money(help_text="per site and year")
    lapses_after_months = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="without new training; blank: it does not lapse"
    )


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
