"""Demand: what is adopted for each site and test, and what three ways of estimating say."""

from collections.abc import Iterable
from math import isfinite
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.views import PagedView
from apps.demand.choices import DemandBasis
from apps.demand.selectors import Estimate, estimates_in
from apps.facilities.selectors import districts_for


class EstimateQuery(serializers.Serializer):
    """What may stand in the query besides the page."""

    district = serializers.SlugField(
        required=False, help_text="Code of one of your districts; all of them if not given."
    )
    site = serializers.SlugField(required=False, help_text="Code of a site.")
    test = serializers.SlugField(required=False, help_text="Code of a test.")
    programme = serializers.SlugField(required=False, help_text="Code of a programme.")
    flagged = serializers.BooleanField(
        required=False,
        allow_null=True,
        default=None,
        help_text="Whether figures are more than a factor of two apart.",
    )


class AdoptedOut(serializers.Serializer):
    tests_per_year = serializers.FloatField()
    basis = serializers.ChoiceField(DemandBasis.choices)
    year = serializers.IntegerField()


class FigureOut(serializers.Serializer):
    basis = serializers.ChoiceField(DemandBasis.choices)
    tests_per_year = serializers.FloatField(
        allow_null=True, help_text="null: the record says too little"
    )
    holds = serializers.BooleanField(help_text="good enough to be preferred")


class Ratio(serializers.FloatField):
    """A ratio; where one figure is 0 it has no number, and ``flagged`` says that they differ."""

    def to_representation(self, value: float) -> float | None:
        return value if isfinite(value) else None


class EstimateOut(serializers.Serializer):
    site = serializers.CharField(source="facility.code")
    site_name = serializers.CharField(source="facility.name")
    test = serializers.CharField(source="test.code")
    test_name = serializers.CharField(source="test.name")
    programme = serializers.CharField(source="test.programme.code")
    year = serializers.IntegerField(source="assumptions.year", help_text="estimated for")
    adopted = AdoptedOut(allow_null=True, help_text="what coverage and plans count with")
    people = serializers.FloatField(
        allow_null=True, help_text="who ask for the test here; null: not known"
    )
    figures = FigureOut(many=True)
    go_by = FigureOut(
        source="chosen",
        allow_null=True,
        help_text="the first that holds: service statistics, consumption, morbidity",
    )
    weak = serializers.BooleanField(
        source="is_weak", help_text="the figure to go by does not hold, but there is no better"
    )
    largest_over_smallest = Ratio(
        source="spread", allow_null=True, help_text="null: fewer than two known, or one is 0"
    )
    go_by_over_adopted = Ratio(
        source="of_adopted", allow_null=True, help_text="null: one is not known, or 0"
    )
    flagged = serializers.BooleanField(
        source="is_flagged", help_text="more than a factor of two apart"
    )


class EstimateList(PagedView):
    deeds = {"GET": "register.view"}
    serializer_class = EstimateOut
    # Estimates are worked out, not rows, so that no filter set of rows fits them.
    filter_backends: list = []

    def get_queryset(self) -> list[Estimate]:
        return []

    @extend_schema(
        operation_id="list_demand_estimates",
        tags=["demand"],
        parameters=[EstimateQuery],
        responses=EstimateOut(many=True),
    )
    def get(self, request: Request) -> Response:
        """Estimates of demand, by district, site and test; estimating changes nothing."""
        asked = self._asked(request)
        every = districts_for(request.user).order_by("code")
        districts = [each for each in every if asked.get("district") in (None, each.code)]
        if "district" in asked and not districts:
            refusal = f"There is no {asked['district']!r} that you may see."
            raise ValidationError({"district": [refusal]})
        return self.paged(
            [
                estimate
                for district in districts
                for estimate in _narrowed(estimates_in(request.user, district), asked)
            ]
        )

    def _asked(self, request: Request) -> dict[str, Any]:
        """The query, refused where it names what there is not."""
        pages = {self.paginator.page_query_param, self.paginator.page_size_query_param}
        allowed = sorted({*EstimateQuery().fields, *pages})
        refusal = [f"There is no such parameter here. There are: {', '.join(allowed)}."]
        if unknown := set(request.query_params) - set(allowed):
            raise ValidationError({name: refusal for name in sorted(unknown)})
        query = EstimateQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        return query.validated_data


def _narrowed(estimates: Iterable[Estimate], asked: dict[str, Any]) -> Iterable[Estimate]:
    for each in estimates:
        codes = {
            "site": each.facility.code,
            "test": each.test.code,
            "programme": each.test.programme.code,
        }
        fits = all(asked.get(name) in (None, code) for name, code in codes.items())
        if fits and asked["flagged"] in (None, each.is_flagged):
            yield each
