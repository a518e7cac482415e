"""When what was measured says nothing any more: withdrawn, or ended by a change of the device."""

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from apps.audit.services import record
from apps.inventory.choices import WORKING, Ending
from apps.inventory.models import EquipmentItem, Verification
from apps.inventory.services.access import may_verify


@transaction.atomic
def withdraw_verification(*, verification: Verification, why: str, by: Any) -> Verification:
    """Say that ``verification`` should not count, and why; it stays to be seen.

    Raises ``ValidationError`` without a reason, or where it is withdrawn already.
    """
    may_verify(verification.item, by)
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
    may_verify(item, by)
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
