"""Lines: the single actions of a finished run."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.fields import money
from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.lookup import found
from apps.api.views import Listing, listed_as
from apps.facilities.selectors import facilities_for
from apps.plans.choices import ActionKind
from apps.plans.selectors import lines_of, run_for


class LineOut(serializers.Serializer):
    """One action of the plan, and the reason for it."""

    site = serializers.CharField(source="facility.code")
    site_name = serializers.CharField(source="facility.name")
    kind = serializers.ChoiceField(ActionKind.choices)
    item = serializers.CharField(source="item_code")
    item_name = serializers.CharField()
    quantity = serializers.IntegerField()
    cost = money()
    reason = serializers.CharField()
    tests_per_year = serializers.FloatField()


class LineFilters(FilterSet):
    site = CodeFilter(
        "facility", lambda request: facilities_for(request.user), help_text="Code of a site."
    )
    area = AreaFilter("facility__area__path")
    kind = ChoiceFilter(choices=ActionKind.choices, help_text="Kind of action.")
    ordering = Ordering(site="facility__code", kind="kind", item="item_code", cost="cost")


@listed_as("list_lines", tag="runs")
class RunLines(Listing):
    """What a finished run would buy, repair, teach and provide, each with its reason."""

    deeds = {"GET": "plan.view"}
    serializer_class = LineOut
    filterset_class = LineFilters

    def get_queryset(self) -> QuerySet:
        return lines_of(found("run", run_for, self.request.user, self.kwargs["run_id"]))
