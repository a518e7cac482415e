from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from apps.catalogue.choices import SourceKind

NOT_NEGATIVE = [MinValueValidator(0)]
AT_LEAST_ONE = [MinValueValidator(1)]
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
