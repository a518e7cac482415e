"""A property of a device class, as requirements and specifications show it."""

from rest_framework import serializers

from apps.api.v1.sources import SourcedOut
from apps.catalogue.choices import Radius


class OfAttributeOut(SourcedOut):
    """A value of one attribute: which, its unit, and what measures it."""

    attribute = serializers.CharField(source="attribute.code")
    attribute_name = serializers.CharField(source="attribute.name")
    ucum = serializers.CharField(source="attribute.ucum", allow_blank=True, help_text="UCUM unit")
    radius = serializers.ChoiceField(
        Radius.choices,
        source="attribute.radius",
        allow_blank=True,
        help_text="of a centrifugal force; empty for anything else",
    )
    observation = serializers.CharField(
        source="attribute.observation",
        allow_blank=True,
        help_text="the measurement that settles it where it is unknown",
    )
    value = serializers.JSONField(help_text="number, text, true or false, or a list of those")
