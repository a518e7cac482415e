"""Workloads: whether each site has the time for the tests that it is equipped for."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.views import Listing, listed_as
from apps.coverage.choices import Binding, Use
from apps.coverage.selectors import workloads_for
from apps.facilities.selectors import facilities_for


class ResourceOut(serializers.Serializer):
    """Hours a year that are needed of staff, or of the machines of one class."""

    code = serializers.CharField(help_text="staff, or code of a device class")
    needed_hours = serializers.FloatField()
    available_hours = serializers.FloatField()
    used_share = serializers.FloatField(
        allow_null=True, help_text="needed over available; null: needed, and none available"
    )
    band = serializers.ChoiceField(Use.choices)
    units = serializers.FloatField(help_text="working units that can do it; 0 for staff")
    broken_units = serializers.FloatField(help_text="that could after repair")


class MachineOut(ResourceOut):
    name = serializers.CharField()


class AskedOut(serializers.Serializer):
    """Tests a year of one method, and how many of them there is time for."""

    test = serializers.CharField()
    method = serializers.CharField()
    asked = serializers.FloatField()
    doable = serializers.FloatField()
    staff_hours = serializers.FloatField(help_text="a year, for all that are asked")


class WorkloadOut(serializers.Serializer):
    site = serializers.CharField(source="facility.code")
    site_name = serializers.CharField(source="facility.name")
    asked = serializers.FloatField(help_text="tests a year that the site is equipped for")
    doable = serializers.FloatField(help_text="of those, how many there is time for")
    own = serializers.FloatField(source="detail.own", help_text="of those, for its own people")
    from_others = serializers.FloatField(source="detail.from_others")
    sent_away = serializers.FloatField(
        source="detail.sent_away", help_text="for its people, done elsewhere"
    )
    undone = serializers.FloatField(
        source="detail.undone", help_text="for its people, done nowhere in reach"
    )
    binding = serializers.ChoiceField(
        Binding.choices, allow_blank=True, help_text="what runs out first"
    )
    binding_share = serializers.FloatField(
        allow_null=True, help_text="of what is asked, how much until then; null: nothing is asked"
    )
    short_hours = serializers.FloatField(
        source="detail.short_hours", help_text="a year, for all that is asked"
    )
    staff = ResourceOut(source="detail.staff")
    machines = MachineOut(source="detail.machines", many=True)
    tests = AskedOut(source="detail.tests", many=True)
    assessed_at = serializers.DateTimeField(source="assessment.made_at")


class WorkloadFilters(FilterSet):
    site = CodeFilter(
        "facility", lambda request: facilities_for(request.user), help_text="Code of a site."
    )
    area = AreaFilter("facility__area__path")
    binding = ChoiceFilter(choices=Binding.choices, help_text="What runs out first.")
    ordering = Ordering(site="facility__code", binding_share="binding_share", asked="asked")


@listed_as("list_workloads", tag="coverage")
class WorkloadList(Listing):
    """The time of each site by the latest assessment; a site of unknown hours is not in it."""

    deeds = {"GET": "register.view"}
    serializer_class = WorkloadOut
    filterset_class = WorkloadFilters

    def get_queryset(self) -> QuerySet:
        return workloads_for(self.request.user)
