"""What is known of methods and devices, and the limits they are verified by."""

from rest_framework import serializers

from apps.api.v1.sources import SourcedOut
from apps.catalogue.choices import Grade, Measure, Setting


class StudyOut(SourcedOut):
    """One evaluation; null: not reported, or not seen."""

    code = serializers.CharField()
    setting = serializers.ChoiceField(Setting.choices, allow_blank=True)
    intended_users = serializers.BooleanField(allow_null=True)
    peer_reviewed = serializers.BooleanField()
    limits_met = serializers.BooleanField(allow_null=True)
    n = serializers.IntegerField(allow_null=True)
    smallest_class = serializers.IntegerField(allow_null=True)
    reference = serializers.CharField(allow_blank=True)
    true_positive = serializers.IntegerField(allow_null=True)
    false_positive = serializers.IntegerField(allow_null=True)
    false_negative = serializers.IntegerField(allow_null=True)
    true_negative = serializers.IntegerField(allow_null=True)
    sensitivity = serializers.FloatField(allow_null=True)
    sensitivity_low = serializers.FloatField(allow_null=True)
    sensitivity_high = serializers.FloatField(allow_null=True)
    specificity = serializers.FloatField(allow_null=True)
    specificity_low = serializers.FloatField(allow_null=True)
    specificity_high = serializers.FloatField(allow_null=True)
    bias = serializers.CharField(allow_blank=True)


class LimitOut(SourcedOut):
    """A limit of a class of device, a method or a test; null: no limit on that side."""

    code = serializers.CharField()
    device_class = serializers.CharField(source="device_class.code", default=None, allow_null=True)
    method = serializers.CharField(source="method.code", default=None, allow_null=True)
    test = serializers.CharField(source="test.code", default=None, allow_null=True)
    rule = serializers.CharField(help_text="the set of limits that it belongs to")
    measure = serializers.ChoiceField(Measure.choices)
    analyte = serializers.CharField(allow_blank=True)
    low = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    ucum = serializers.CharField(help_text="UCUM unit")
    share_within = serializers.FloatField(allow_null=True)
    range_low = serializers.FloatField(allow_null=True)
    range_high = serializers.FloatField(allow_null=True)
    range_ucum = serializers.CharField(allow_blank=True)
    minimum_samples = serializers.IntegerField(allow_null=True)
    valid_months = serializers.IntegerField(allow_null=True, help_text="how long a pass counts")
    note = serializers.CharField(allow_blank=True)


class EvidenceOut(serializers.Serializer):
    """The grade that a model states beside the one that its approval and studies give it."""

    stated = serializers.ChoiceField(Grade.choices)
    supported = serializers.ChoiceField(Grade.choices)
    differs = serializers.BooleanField()
    missing = serializers.ListField(
        child=serializers.CharField(), help_text="what the next better grade asks for besides"
    )
    studies = StudyOut(many=True)
