"""Verifications: what was measured on single devices, and what that came to."""

from typing import Any

from django.core.exceptions import ValidationError as Refusal
from django.urls import reverse
from django_filters import ChoiceFilter, FilterSet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from apps.api.fields import Incoming
from apps.api.filters import AreaFilter, CodeFilter, Ordering
from apps.api.idempotency import PARAMETER, once_per_key
from apps.api.lookup import found, named
from apps.api.views import PagedView, View
from apps.facilities.selectors import facilities_for
from apps.inventory.adapters import LimitSet, Readings, sets_for
from apps.inventory.adapters.readings import columns_of, in_words
from apps.inventory.choices import Ending, Operator, Outcome, SpinSetting, VerificationKind
from apps.inventory.selectors import item_for, items_for, verification_for, verifications_for
from apps.inventory.services import record_verification, withdraw_verification
from planner.engine.agreement.readings import MOST
from planner.engine.errors import InputError

SPIN = "of a spin; null for other kinds"


class VerificationIn(Incoming):
    item = serializers.SlugField(help_text="inventory number of the device")
    kind = serializers.ChoiceField(VerificationKind.choices)
    rule = serializers.SlugField(help_text="set of limits of the catalogue")
    subject = serializers.SlugField(
        help_text="code of the device class, method or test that these limits are for"
    )
    analyte = serializers.CharField(
        default="", allow_blank=True, max_length=60, help_text="where the limits tell several apart"
    )
    done_on = serializers.DateField()
    operator = serializers.ChoiceField(Operator.choices, help_text="by training; no names")
    reference = serializers.CharField(max_length=200, help_text="what it was compared with")
    traceability = serializers.CharField(default="", allow_blank=True, max_length=200)
    readings = serializers.ListField(
        child=serializers.ListField(child=serializers.FloatField(), min_length=2, max_length=3),
        min_length=1,
        max_length=MOST,
        help_text="a row each. "
        + "; ".join(f"{kind}: {in_words(kind)}" for kind in VerificationKind.values)
        + ". Yes is 1, no is 0.",
    )
    radius_cm = serializers.FloatField(default=None, allow_null=True, help_text=SPIN)
    set_rpm = serializers.FloatField(default=None, allow_null=True, help_text=SPIN)
    setting = serializers.ChoiceField(SpinSetting.choices, default=SpinSetting.GREATEST)
    note = serializers.CharField(default="", allow_blank=True, max_length=300)


class VerificationOut(serializers.Serializer):
    code = serializers.CharField()
    item = serializers.CharField(source="item.code")
    site = serializers.CharField(source="item.facility.code")
    device_model = serializers.CharField(source="item.device_model.code")
    kind = serializers.ChoiceField(VerificationKind.choices)
    rule = serializers.CharField()
    subject = serializers.CharField()
    analyte = serializers.CharField(allow_blank=True)
    done_on = serializers.DateField()
    valid_until = serializers.DateField(allow_null=True, help_text="last day; null: no pass")
    outcome = serializers.ChoiceField(Outcome.choices)
    operator = serializers.ChoiceField(Operator.choices)
    reference = serializers.CharField()
    traceability = serializers.CharField(allow_blank=True)
    measured = serializers.DictField(
        child=serializers.FloatField(), help_text="attribute of the device class: measured value"
    )
    note = serializers.CharField(allow_blank=True)
    recorded_at = serializers.DateTimeField()
    ended_on = serializers.DateField(allow_null=True)
    ended_by = serializers.ChoiceField(Ending.choices, allow_blank=True)
    withdrawn_on = serializers.DateField(allow_null=True)
    withdrawn_why = serializers.CharField(allow_blank=True)


class VerificationDetailOut(VerificationOut):
    limits = serializers.DictField(help_text="as they were, each with its source")
    readings = serializers.DictField(help_text="columns, rows, and the facts of a spin")
    figures = serializers.DictField(help_text="worked out from the readings; checks in words")


class WithdrawIn(Incoming):
    why = serializers.CharField(max_length=300)


class VerificationFilters(FilterSet):
    item = CodeFilter("item", lambda request: items_for(request.user), help_text="Item code.")
    site = CodeFilter(
        "item__facility", lambda request: facilities_for(request.user), help_text="Code of a site."
    )
    area = AreaFilter("item__facility__area__path")
    kind = ChoiceFilter(choices=VerificationKind.choices, help_text="Kind of readings.")
    outcome = ChoiceFilter(choices=Outcome.choices, help_text="What it came to.")
    ordering = Ordering(done_on="done_on", valid_until="valid_until", code="code")


class VerificationList(PagedView):
    deeds = {"GET": "register.view", "POST": "verification.record"}
    serializer_class = VerificationOut
    filterset_class = VerificationFilters

    @extend_schema(
        operation_id="list_verifications",
        tags=["verifications"],
        responses=VerificationOut(many=True),
    )
    def get(self, request: Request) -> Response:
        """What was measured on the devices of your areas, newest first."""
        return self.paged(verifications_for(request.user))

    @extend_schema(
        operation_id="record_verification",
        tags=["verifications"],
        request=VerificationIn,
        responses={201: VerificationDetailOut},
        parameters=[PARAMETER],
    )
    @once_per_key
    def post(self, request: Request) -> Response:
        """Keep readings of one device; figures and outcome are worked out from them."""
        asked = VerificationIn(data=request.data)
        asked.is_valid(raise_exception=True)
        made = _recorded(dict(asked.validated_data), request.user)
        return Response(
            VerificationDetailOut(made).data,
            status=status.HTTP_201_CREATED,
            headers={"Location": reverse("api:verification-detail", args=[made.code])},
        )


class VerificationDetail(View):
    deeds = {"GET": "register.view"}

    @extend_schema(
        operation_id="get_verification", tags=["verifications"], responses=VerificationDetailOut
    )
    def get(self, request: Request, code: str) -> Response:
        """One verification with its limits, readings and figures as they were."""
        made = found("verification", verification_for, request.user, code)
        return Response(VerificationDetailOut(made).data)


class VerificationWithdraw(View):
    deeds = {"POST": "verification.record"}

    @extend_schema(
        operation_id="withdraw_verification",
        tags=["verifications"],
        request=WithdrawIn,
        responses=VerificationDetailOut,
    )
    def post(self, request: Request, code: str) -> Response:
        """Say that it should not count, and why; it stays to be seen."""
        made = found("verification", verification_for, request.user, code)
        asked = WithdrawIn(data=request.data)
        asked.is_valid(raise_exception=True)
        withdraw_verification(verification=made, why=asked.validated_data["why"], by=request.user)
        return Response(VerificationDetailOut(made).data)


def _recorded(values: dict[str, Any], by: Any) -> Any:
    code, kind, rows = values.pop("item"), values["kind"], values.pop("readings")
    item = named("item", lambda: item_for(by, code), code)
    values["limits"] = _limits(item, values.pop("rule"), values.pop("subject"))
    values["readings"] = _readings(kind, rows)
    try:
        return record_verification(item=item, by=by, **values)
    except InputError as refused:
        raise serializers.ValidationError({"readings": list(refused.problems)}) from refused
    except Refusal as refused:
        raise serializers.ValidationError(serializers.as_serializer_error(refused)) from refused


def _limits(item: Any, rule: str, subject: str) -> LimitSet:
    sets = sets_for(item.device_model)
    for limits in sets:
        if (limits.rule, limits.subject) == (rule, subject):
            return limits
    there = ", ".join(each.key for each in sets) or "none"
    raise serializers.ValidationError(
        {"rule": [f"No such limits for this device. There are (rule/subject): {there}."]}
    )


def _readings(kind: str, rows: list[list[float]]) -> Readings:
    columns = columns_of(kind, len(rows[0]))
    odd = [at for at, row in enumerate(rows, 1) if len(row) != len(columns)]
    if odd:
        wanted = f"Expected {len(columns)} numbers ({', '.join(columns)})."
        raise serializers.ValidationError({"readings": [f"row {odd[0]}: {wanted}"]})
    return Readings(columns, tuple(tuple(row) for row in rows))
