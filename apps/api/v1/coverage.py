"""Coverage: what each site can do about each test, and what stands in the way."""

from django.db.models import QuerySet
from django_filters import ChoiceFilter, FilterSet
from rest_framework import serializers

from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.views import Listing, listed_as
from apps.catalogue.selectors import programmes, tests
from apps.coverage.choices import State
from apps.coverage.selectors import findings_for
from apps.facilities.selectors import facilities_for


class MissingOut(serializers.Serializer):
    kind = serializers.CharField(help_text="device, skill, infrastructure, …")
    what = serializers.CharField()
    reason = serializers.CharField()


class MethodStateOut(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()
    runs = serializers.BooleanField()
    missing = MissingOut(many=True)


class FixOut(serializers.Serializer):
    """One of the purchases, repairs, trainings or provisions that would settle it."""

    kind = serializers.CharField()
    item = serializers.CharField()
    name = serializers.CharField()
    cost = serializers.FloatField()


class DetailOut(serializers.Serializer):
    methods = MethodStateOut(many=True)
    fix = FixOut(many=True)
    questions = serializers.ListField(
        child=serializers.CharField(), help_text="observations that would settle what is unknown"
    )


class FindingOut(serializers.Serializer):
    site = serializers.CharField(source="facility.code")
    site_name = serializers.CharField(source="facility.name")
    test = serializers.CharField(source="test.code")
    test_name = serializers.CharField(source="test.name")
    programme = serializers.CharField(source="test.programme.code")
    state = serializers.ChoiceField(State.choices)
    method = serializers.CharField(
        source="method_code", allow_blank=True, help_text="best method that runs, if any"
    )
    referred_to = serializers.CharField(source="referred_to.code", default=None, allow_null=True)
    fix_cost = serializers.FloatField(allow_null=True, help_text="of the cheapest set of fixes")
    detail = DetailOut()
    assessed_at = serializers.DateTimeField(source="assessment.made_at")
    case_sha256 = serializers.CharField(
        source="assessment.case_id", help_text="digest of the planning case it was worked out from"
    )


class FindingFilters(FilterSet):
    site = CodeFilter(
        "facility", lambda request: facilities_for(request.user), help_text="Code of a site."
    )
    test = CodeFilter("test", lambda _: tests(), help_text="Code of a test.")
    programme = CodeFilter(
        "test__programme", lambda _: programmes(), help_text="Code of a programme."
    )
    area = AreaFilter("facility__area__path")
    state = ChoiceFilter(choices=State.choices, help_text="What the site can do about the test.")
    ordering = Ordering(
        site="facility__code", test="test__code", state="state", fix_cost="fix_cost"
    )


@listed_as("list_coverage", tag="coverage")
class FindingList(Listing):
    """Findings of the latest assessment of each of your districts: one per site and test."""

    deeds = {"GET": "register.view"}
    serializer_class = FindingOut
    filterset_class = FindingFilters

    def get_queryset(self) -> QuerySet:
        return findings_for(self.request.user).select_related("assessment")
