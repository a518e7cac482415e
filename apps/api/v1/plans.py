"""Plans: what a district should do with its money, within which limits."""

from typing import Any

from django.urls import reverse
from django_filters import FilterSet
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.fields import Incoming, money
from apps.api.filters import AreaFilter, Ordering
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found, named
from apps.api.views import PagedView, View
from apps.catalogue.choices import Grade
from apps.facilities.selectors import plannable_districts
from apps.plans.selectors import plan_for, plans_for
from apps.plans.services import draft_plan

ASKED = (
    "what is asked beyond the most tests, in the terms of the planning case: aim, minimum_sets,"
    " fixed (site null: every site), idle_units (item of the register, to a site or null, cost),"
    " bundles, models_per_class, supervised_share; each may be left out"
)


class PlanIn(Incoming):
    title = serializers.CharField(max_length=120)
    area = serializers.SlugField(help_text="code of the district that is planned for")
    capital = money(help_text="for purchases, repairs, training and infrastructure")
    earmarks = serializers.DictField(
        child=money(),
        default=dict,
        help_text="programme code: money on top of the capital that only its models may use",
    )
    recurrent = money(default=None, allow_null=True, help_text="a year; null: no limit")
    trainer_days = serializers.FloatField(
        default=None, allow_null=True, min_value=0, help_text="null: no limit"
    )
    max_units = serializers.IntegerField(
        default=2, min_value=0, max_value=100, help_text="bought per site and model"
    )
    minimum_evidence = serializers.ChoiceField(Grade.choices, default=Grade.B)
    floors = serializers.DictField(
        child=serializers.FloatField(min_value=0, max_value=1),
        default=dict,
        help_text="area code: share of the area's largest possible objective to reach",
    )
    gap = serializers.FloatField(
        default=0.001, min_value=0, max_value=1, help_text="how near the best is near enough"
    )
    time_limit_s = serializers.IntegerField(default=300, min_value=1, max_value=3600)
    asked = serializers.DictField(default=dict, help_text=ASKED)


@extend_schema_field(serializers.DictField(child=money()))
class EarmarksOut(serializers.Field):
    def to_representation(self, earmarks: Any) -> dict[str, str]:
        return {each.programme.code: str(each.amount) for each in earmarks.all()}


@extend_schema_field(serializers.DictField(child=serializers.FloatField()))
class FloorsOut(serializers.Field):
    def to_representation(self, floors: Any) -> dict[str, float]:
        return {each.area.code: each.share for each in floors.all()}


class PlanOut(serializers.Serializer):
    id = serializers.IntegerField()
    title = serializers.CharField()
    area = serializers.CharField(source="area.code")
    capital = money()
    earmarks = EarmarksOut()
    recurrent = money(allow_null=True)
    trainer_days = serializers.FloatField(allow_null=True)
    max_units = serializers.IntegerField()
    minimum_evidence = serializers.ChoiceField(Grade.choices)
    floors = FloorsOut()
    gap = serializers.FloatField()
    time_limit_s = serializers.IntegerField()
    asked = serializers.DictField(help_text=ASKED)
    made_at = serializers.DateTimeField()
    made_by = serializers.CharField(source="made_by.username")


class PlanFilters(FilterSet):
    area = AreaFilter("area__path")
    ordering = Ordering(made_at="made_at", title="title", capital="capital")


class PlanList(PagedView):
    deeds = {"GET": "plan.view", "POST": "plan.draft"}
    serializer_class = PlanOut
    filterset_class = PlanFilters

    @extend_schema(operation_id="list_plans", tags=["plans"], responses=PlanOut(many=True))
    def get(self, request: Request) -> Response:
        """Plans for the districts you answer for, newest first."""
        plans = plans_for(request.user)
        return self.paged(plans.prefetch_related("earmarks__programme", "floors__area"))

    @extend_schema(
        operation_id="draft_plan",
        tags=["plans"],
        request=PlanIn,
        responses={201: PlanOut},
        parameters=[PARAMETER],
    )
    @once_per_key
    def post(self, request: Request) -> Response:
        """Draft a plan. Nothing is computed before a run of it is started."""
        asked = PlanIn(data=request.data)
        asked.is_valid(raise_exception=True)
        values = dict(asked.validated_data)
        districts = plannable_districts(request.user)
        values["area"] = named("area", lambda: districts.get(code=values["area"]), values["area"])
        plan = draft_plan(**values, by=request.user)
        return Response(
            PlanOut(plan).data,
            status=status.HTTP_201_CREATED,
            headers={"Location": reverse("api:plan-detail", args=[plan.pk])},
        )


class PlanDetail(View):
    deeds = {"GET": "plan.view"}

    @extend_schema(operation_id="get_plan", tags=["plans"], responses=PlanOut)
    def get(self, request: Request, plan_id: int) -> Response:
        """One plan: its money and its limits."""
        return Response(PlanOut(found("plan", plan_for, request.user, plan_id)).data)
