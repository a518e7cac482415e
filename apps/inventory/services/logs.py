"""The service log of a device."""

from typing import Any

from django.db import transaction

from apps.accounts.rules import may
from apps.audit.services import record
from apps.facilities.models import Observation
from apps.facilities.services import Said
from apps.facilities.services.changing import keep_observation, may_change, refuse_future
from apps.inventory.choices import ALTERS, Ending, ServiceKind
from apps.inventory.models import EquipmentItem, ServiceEntry
from apps.inventory.services.ending import end_verifications

ENDINGS = {ServiceKind.REPAIR: Ending.REPAIRED, ServiceKind.MODIFICATION: Ending.CHANGED}
# Which dates of the item a line of the log moves on.
DATES = {
    ServiceKind.PREVENTIVE: ("last_serviced_on", "service_due_on"),
    ServiceKind.CALIBRATION: ("last_calibrated_on", "calibration_due_on"),
}


@transaction.atomic
def log_service(
    *, item: EquipmentItem, kind: str, said: Said, by: Any, **facts: Any
) -> ServiceEntry | None:
    """Write a line into the service log of ``item``, done on the day that ``said`` names.

    ``facts``: further fields of ``ServiceEntry``. Maintenance and calibration move the dates of
    the item on; a repair or a modification ends what was measured before. ``None`` where the
    same entry came before. Raises ``ValidationError`` and ``PermissionDenied``.
    """
    may_change(item.facility, by)
    if said.entry_key and Observation.objects.filter(by=by, entry_key=said.entry_key).exists():
        return None
    refuse_future(said.observed_on, "observed_on")
    made = ServiceEntry(item=item, kind=kind, done_on=said.observed_on, **facts)
    made.full_clean()
    made.save()
    after = {"kind": kind, "done_on": made.done_on, **facts}
    keep_observation(item, item.facility, after, said, by)
    before = _move_dates_on(item, made, after)
    record("item.serviced", by=by, obj=item, before=before, after=after, why=said.why)
    if kind in ALTERS and item.verifications.standing().exists():
        # Whoever writes the line down need not be one who may verify; it follows all the same.
        answering = by if by is None or may(by, "verification.record") else None
        end_verifications(item=item, ending=ENDINGS[kind], on=made.done_on, by=answering)
    return made


def _move_dates_on(
    item: EquipmentItem, made: ServiceEntry, after: dict[str, Any]
) -> dict[str, Any] | None:
    """Only a line later than what the item says moves it on; old lines are history."""
    if made.kind not in DATES:
        return None
    last, due = DATES[made.kind]
    if getattr(item, last) and getattr(item, last) > made.done_on:
        return None
    before = {last: getattr(item, last), due: getattr(item, due)}
    setattr(item, last, made.done_on)
    setattr(item, due, made.next_due_on)
    item.save(update_fields=[last, due])
    after |= {last: made.done_on, due: made.next_due_on}
    return before
