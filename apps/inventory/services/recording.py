"""A verification as it was measured: computed, judged, kept, written into the trail."""

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from apps.audit.services import record
from apps.inventory.adapters import Computed, LimitSet, Readings, compute
from apps.inventory.choices import WORKING, Condition, Outcome, SpinSetting
from apps.inventory.models import EquipmentItem, Verification
from apps.inventory.rules import months_later
from apps.inventory.services.access import may_verify

VERIFIABLE = WORKING | {Condition.AWAITING}


@transaction.atomic
def record_verification(
    *,
    item: EquipmentItem,
    kind: str,
    readings: Readings,
    limits: LimitSet,
    done_on: dt.date,
    operator: str,
    reference: str,
    by: Any,
    traceability: str = "",
    note: str = "",
    code: str = "",
    analyte: str = "",
    radius_cm: float | None = None,
    set_rpm: float | None = None,
    setting: str = SpinSetting.GREATEST,
) -> Verification:
    """Compute what ``readings`` of ``item`` say and keep them, the limits and the answer.

    A pass counts from ``done_on`` for as many months as the limits state. ``analyte``: which of
    those that the limits tell apart. ``operator`` is a kind of staff, never a name. A spin has
    ``radius_cm`` and, if it had one, a ``set_rpm``.

    Raises ``InputError`` for readings that cannot be used, ``ValidationError`` for facts that
    cannot be, ``PermissionDenied`` where ``by`` may not, or not there.
    """
    may_verify(item, by)
    _refuse_impossible(item, done_on)
    analyte = _analyte(limits, analyte)
    spin = {"radius_cm": radius_cm, "set_rpm": set_rpm, "setting": setting}
    attributes = item.device_model.served_classes.values_list(
        "device_class__attributes__code", flat=True
    )
    answer = compute(kind, readings, limits, analyte=analyte, attributes=set(attributes), **spin)
    made = Verification(
        code=code or _next_code(item),
        item=item,
        facility_id=item.facility_id,
        device_model_id=item.device_model_id,
        kind=kind,
        rule=limits.rule,
        subject=limits.subject,
        analyte=analyte,
        done_on=done_on,
        valid_until=_valid_until(answer, limits.months(kind, analyte), done_on),
        operator=operator,
        reference=reference,
        traceability=traceability,
        limits=_kept(limits),
        readings={**readings.as_json(), **spin},
        figures=answer.figures,
        measured=answer.measured,
        outcome=answer.outcome,
        note=note,
    )
    made.full_clean()
    made.save()
    record("verification.recorded", by=by, obj=made, after=_summary(made))
    return made


def _refuse_impossible(item: EquipmentItem, done_on: dt.date) -> None:
    if done_on > timezone.localdate():
        raise ValidationError({"done_on": "The day lies in the future. Give the day of measuring."})
    if item.received_on and done_on < item.received_on:
        raise ValidationError(
            {"done_on": f"The item was received on {item.received_on}, after this day."}
        )
    if item.condition not in VERIFIABLE:
        raise ValidationError(
            f"The register says of {item.code}: {item.get_condition_display().lower()}. Correct "
            "its condition first, or verify it when it works.",
            code="condition",
        )


def _analyte(limits: LimitSet, analyte: str) -> str:
    """The one that the limits are for; where they tell several apart it must be said."""
    if not analyte and len(limits.analytes) == 1:
        return limits.analytes[0]
    if analyte not in (limits.analytes or [""]):
        raise ValidationError(
            {"analyte": f"Say what was measured: one of {', '.join(limits.analytes) or 'none'}."}
        )
    return analyte


def _valid_until(answer: Computed, months: int, done_on: dt.date) -> dt.date | None:
    return months_later(done_on, months) if answer.outcome == Outcome.PASS else None


def _next_code(item: EquipmentItem) -> str:
    # The row of the item is held, so that two people who record at once get two numbers.
    EquipmentItem.objects.select_for_update().get(pk=item.pk)
    return f"{item.code}-v{item.verifications.count() + 1}"


def _kept(limits: LimitSet) -> dict[str, Any]:
    return {
        "subject_kind": limits.subject_kind,
        "subject_name": limits.subject_name,
        "limits": [dict(each) for each in limits.limits],
    }


def _summary(made: Verification) -> dict[str, Any]:
    names = ("kind", "rule", "subject", "analyte", "done_on", "valid_until", "outcome", "measured")
    return {"item": made.item.code, **{name: getattr(made, name) for name in names}}
