"""Verifications of devices: recorded, ended by a change of the device, withdrawn; never edited."""

import datetime as dt
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from apps.accounts.rules import require
from apps.audit.services import record
from apps.inventory.adapters import Computed, LimitSet, Readings, compute
from apps.inventory.choices import WORKING, Condition, Ending, Outcome, SpinSetting
from apps.inventory.models import EquipmentItem, Verification
from apps.inventory.rules import months_later

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
    unit: str = "",
    radius_cm: float | None = None,
    set_rpm: float | None = None,
    setting: str = SpinSetting.GREATEST,
) -> Verification:
    """Compute what ``readings`` of ``item`` say and keep them, the limits and the answer.

    A pass counts from ``done_on`` for as many months as the limits state. ``operator`` is a
    kind of staff, never a name. A spin has ``radius_cm`` and, if it had one, a ``set_rpm``.

    Raises ``InputError`` for readings that cannot be used, ``ValidationError`` for facts that
    cannot be, ``PermissionDenied`` where ``by`` may not, or not there.
    """
    _may_verify(item, by)
    _refuse_impossible(item, done_on)
    unit = unit or (limits.units[0] if len(limits.units) == 1 else "")
    spin = {"radius_cm": radius_cm, "set_rpm": set_rpm, "setting": setting}
    attributes = item.device_model.served_classes.values_list(
        "device_class__attributes__code", flat=True
    )
    answer = compute(kind, readings, limits, attributes=set(attributes), unit=unit, **spin)
    made = Verification(
        code=code or _next_code(item),
        item=item,
        facility_id=item.facility_id,
        device_model_id=item.device_model_id,
        kind=kind,
        rule=limits.rule,
        subject=limits.subject,
        done_on=done_on,
        valid_until=_valid_until(answer, limits, kind, done_on),
        operator=operator,
        reference=reference,
        traceability=traceability,
        limits=_kept(limits),
        readings={**readings.as_json(), "unit": unit, **spin},
        figures=answer.figures,
        measured=answer.measured,
        outcome=answer.outcome,
        note=note,
    )
    made.full_clean()
    made.save()
    record("verification.recorded", by=by, obj=made, after=_summary(made))
    return made


@transaction.atomic
def withdraw_verification(*, verification: Verification, why: str, by: Any) -> Verification:
    """Say that ``verification`` should not count, and why; it stays to be seen.

    Raises ``ValidationError`` without a reason, or where it is withdrawn already.
    """
    _may_verify(verification.item, by)
    if verification.withdrawn_on is not None:
        raise ValidationError("This verification was withdrawn already.", code="withdrawn")
    verification.withdrawn_on = timezone.localdate()
    verification.withdrawn_why = why.strip()
    if not verification.withdrawn_why:
        raise ValidationError("Say why it is withdrawn.", code="no_reason")
    verification.full_clean()
    verification.save(update_fields=["withdrawn_on", "withdrawn_why"])
    record("verification.withdrawn", by=by, obj=verification, why=verification.withdrawn_why)
    return verification


@transaction.atomic
def end_verifications(*, item: EquipmentItem, ending: str, on: dt.date, by: Any) -> int:
    """A repair, a move or a change of ``item`` on the day ``on`` ends what was measured before.

    How many ended. Raises ``ValidationError`` for a day to come.
    """
    _may_verify(item, by)
    if on > timezone.localdate():
        raise ValidationError("The day lies in the future. Give the day it was done.", code="day")
    standing = item.verifications.standing().filter(done_on__lte=on)
    return sum(_end(each, ending, on, by) for each in standing)


@transaction.atomic
def end_outdated(*, by: Any) -> int:
    """End the verifications of items that have broken, moved or been taken for another model.

    Called wherever items are changed in bulk: a device that breaks and is mended must not get
    its old verification back. How many ended; one query where none did.
    """
    today = timezone.localdate()
    outdated = Verification.objects.outdated().select_related("item")
    return sum(_end(each, _ending(each), today, by) for each in outdated)


def _ending(verification: Verification) -> Ending:
    item = verification.item
    if item.condition not in WORKING:
        return Ending.CONDITION
    return Ending.MOVED if item.facility_id != verification.facility_id else Ending.CHANGED


def _end(verification: Verification, ending: str, on: dt.date, by: Any) -> int:
    verification.ended_on = max(on, verification.done_on)
    verification.ended_by = ending
    verification.full_clean()
    verification.save(update_fields=["ended_on", "ended_by"])
    after = {"ended_on": verification.ended_on, "ended_by": str(ending)}
    record("verification.ended", by=by, obj=verification, after=after)
    return 1


def _may_verify(item: EquipmentItem, by: Any) -> None:
    require(by, "verification.record")
    if by is not None and not EquipmentItem.objects.visible_to(by).filter(pk=item.pk).exists():
        raise PermissionDenied(f"{by} does not answer for the facility that {item.code} is at.")


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


def _valid_until(answer: Computed, limits: LimitSet, kind: str, done_on: dt.date) -> dt.date | None:
    if answer.outcome != Outcome.PASS:
        return None
    return months_later(done_on, limits.months(kind))


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
    names = ("kind", "rule", "subject", "done_on", "valid_until", "outcome", "measured")
    return {"item": made.item.code, **{name: getattr(made, name) for name in names}}
