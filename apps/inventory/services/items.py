"""Devices: added, described, moved. Nothing is ever removed here."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from apps.audit.services import record
from apps.catalogue.models import DeviceModel
from apps.facilities.models import Facility, Observation
from apps.facilities.services import Kept, Said, change_row
from apps.facilities.services.changing import keep_observation, may_change, refuse_future
from apps.inventory.choices import WORKING
from apps.inventory.models import EquipmentFile, EquipmentItem, Move
from apps.inventory.services.ending import end_outdated

FILE = tuple(field.name for field in EquipmentFile._meta.get_fields())
ITEM_FACTS = ("serial_number", "condition", "reason", "received_on", "note", *FILE)


@transaction.atomic
def add_item(
    *,
    facility: Facility,
    device_model: DeviceModel,
    code: str,
    facts: Mapping[str, Any],
    said: Said,
    by: Any,
) -> Kept:
    """Put a device that nobody had written down into the register.

    ``facts``: of ``ITEM_FACTS``. Raises ``ValidationError`` for a code that is taken and as
    ``change_item``.
    """
    _refuse_others(facts)
    _refuse_reason(facts.get("condition"), facts.get("reason"))
    return change_row(
        row=EquipmentItem(code=code, facility=facility, device_model=device_model),
        facility=facility,
        changes=facts,
        seen=None,
        said=said,
        action="item.added",
        by=by,
    )


@transaction.atomic
def change_item(
    *,
    item: EquipmentItem,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """Write down facts of ``item`` (``ITEM_FACTS``); a device that breaks is not verified.

    Raises ``ConflictError``, ``ValidationError`` and ``PermissionDenied`` as
    ``facilities.services.change_row``.
    """
    _refuse_others(changes)
    _refuse_reason(changes.get("condition", item.condition), changes.get("reason", item.reason))
    kept = change_row(
        row=item,
        facility=item.facility,
        changes=changes,
        seen=seen,
        said=said,
        action="item.changed",
        by=by,
    )
    end_outdated(by=by)
    return kept


@transaction.atomic
def move_item(
    *, item: EquipmentItem, to: Facility, location: str, said: Said, by: Any
) -> Move | None:
    """Take ``item`` to ``to`` on the day that ``said`` names; what was measured on it ends.

    ``None`` where the same entry came before. Raises ``ValidationError`` without a reason, for
    a place where it is already, or for a day before the last move; ``PermissionDenied``
    unless ``by`` answers for both ends.
    """
    may_change(item.facility, by)
    may_change(to, by)
    item = EquipmentItem.objects.select_for_update().select_related("facility").get(pk=item.pk)
    if said.entry_key and Observation.objects.filter(by=by, entry_key=said.entry_key).exists():
        return None
    if not said.why:
        raise ValidationError({"why": "Say why it is moved."})
    refuse_future(said.observed_on, "observed_on")
    if (last := item.move_log.first()) and last.moved_on > said.observed_on:
        raise ValidationError(
            {"observed_on": f"It was moved on {last.moved_on} already. Give a later day."}
        )
    move = Move(
        item=item,
        origin=item.facility,
        destination=to,
        origin_location=item.location,
        destination_location=location,
        moved_on=said.observed_on,
        why=said.why,
    )
    move.full_clean()
    move.save()
    before = {"facility": item.facility.code, "location": item.location}
    item.facility, item.location = to, location
    item.observed_on = max(filter(None, (item.observed_on, said.observed_on)))
    item.save(update_fields=["facility", "location", "observed_on"])
    after = {"facility": to.code, "location": location}
    keep_observation(item, to, after, said, by)
    record("item.moved", by=by, obj=item, before=before, after=after, why=said.why)
    end_outdated(by=by)
    return move


def _refuse_others(facts: Mapping[str, Any]) -> None:
    if unknown := set(facts) - set(ITEM_FACTS):
        raise ValidationError(f"Not a fact that can be changed here: {', '.join(sorted(unknown))}.")


def _refuse_reason(condition: str | None, reason: str | None) -> None:
    """Condition and reason are two facts, but a device in use has no reason not to be."""
    if reason and condition in WORKING - {"idle"}:
        raise ValidationError(
            {"reason": "It is in use. Leave the reason out, or correct the condition."}
        )
