"""Runs: the computations of a plan, from the wish to start one to its answer."""

from typing import Any

from django.core.exceptions import ValidationError
from django.urls import reverse
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle

from apps.api.errors import Refused
from apps.api.filters import Ordering
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found
from apps.api.v1.summaries import SummaryOut
from apps.api.views import PagedView, View
from apps.plans.choices import RunState
from apps.plans.selectors import plan_for, run_for, runs_for
from apps.plans.services import cancel_run, mark_interrupted, start_run


class RunOut(serializers.Serializer):
    """Where a run stands. ``bound`` and ``gap`` say how far it may be from the best possible."""

    id = serializers.IntegerField()
    plan = serializers.IntegerField(source="plan_id")
    state = serializers.ChoiceField(RunState.choices)
    phase = serializers.CharField(allow_blank=True, help_text="what it is doing now")
    message = serializers.CharField(allow_blank=True, help_text="what went wrong and what to do")
    asked_by = serializers.CharField(source="asked_by.username")
    asked_at = serializers.DateTimeField()
    started_at = serializers.DateTimeField(allow_null=True)
    heartbeat_at = serializers.DateTimeField(allow_null=True, help_text="last sign of life")
    finished_at = serializers.DateTimeField(allow_null=True)
    cancel_requested = serializers.BooleanField()
    status = serializers.CharField(
        allow_blank=True, help_text="of the result: optimal, feasible or infeasible"
    )
    objective = serializers.FloatField(allow_null=True, help_text="weighted correct tests a year")
    objective_before = serializers.FloatField(allow_null=True, help_text="the same, today")
    bound = serializers.FloatField(allow_null=True, help_text="no plan can do better than this")
    gap = serializers.FloatField(
        allow_null=True, help_text="(bound - objective) / objective, 0 or more"
    )
    case_sha256 = serializers.CharField(source="case_id", allow_null=True)
    result_sha256 = serializers.CharField(source="result_id", allow_null=True)
    engine_version = serializers.CharField(allow_blank=True)
    summary = SummaryOut(allow_null=True)


class RunFilters(FilterSet):
    state = ChoiceFilter(choices=RunState.choices, help_text="Where the run stands.")
    ordering = Ordering(asked_at="asked_at", finished_at="finished_at", objective="objective")


class PlanRuns(PagedView):
    deeds = {"GET": "plan.view", "POST": "plan.run"}
    serializer_class = RunOut
    filterset_class = RunFilters

    def get_throttles(self) -> list:
        """Starting a run costs minutes of a processor: it has a limit of its own."""
        throttles = super().get_throttles()
        if self.request.method == "POST":
            self.throttle_scope = "runs"
            throttles.append(ScopedRateThrottle())
        return throttles

    @extend_schema(operation_id="list_runs", tags=["runs"], responses=RunOut(many=True))
    def get(self, request: Request, plan_id: int) -> Response:
        """The runs of a plan, newest first."""
        mark_interrupted()
        plan = found("plan", plan_for, request.user, plan_id)
        return self.paged(runs_for(request.user).filter(plan=plan))

    @extend_schema(
        operation_id="start_run",
        tags=["runs"],
        request=None,
        responses={202: RunOut},
        parameters=[PARAMETER],
    )
    @once_per_key
    def post(self, request: Request, plan_id: int) -> Response:
        """Queue a run of the plan; look at the address in Location to see how it gets on."""
        plan = found("plan", plan_for, request.user, plan_id)
        mark_interrupted()
        run = start(plan, request.user)
        return Response(
            RunOut(run).data,
            status=status.HTTP_202_ACCEPTED,
            headers={"Location": reverse("api:run-detail", args=[run.pk])},
        )


def start(plan: Any, by: Any) -> Any:
    """The new run; 409 while the plan has an unfinished one."""
    try:
        return start_run(plan=plan, by=by)
    except ValidationError as refusal:
        if refusal.error_list[0].code != "unfinished":
            raise
        raise Refused(
            "This plan is being computed already.",
            remedy="Wait for its run, or cancel it, then start again.",
            code="unfinished",
            status_code=status.HTTP_409_CONFLICT,
        ) from refusal


class RunDetail(View):
    deeds = {"GET": "plan.view"}

    @extend_schema(operation_id="get_run", tags=["runs"], responses=RunOut)
    def get(self, request: Request, run_id: int) -> Response:
        """State, phase, objective, bound and gap of a run; its summary when it is done."""
        mark_interrupted()
        return Response(RunOut(found("run", run_for, request.user, run_id)).data)


class RunCancel(View):
    deeds = {"POST": "plan.run"}

    @extend_schema(operation_id="cancel_run", tags=["runs"], request=None, responses=RunOut)
    def post(self, request: Request, run_id: int) -> Response:
        """Ask a run to stop. It stops at the solver's next report, within seconds."""
        run = found("run", run_for, request.user, run_id)
        return Response(RunOut(cancel_run(run=run, by=request.user)).data)
