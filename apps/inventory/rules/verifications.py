"""What can be said of a device from its verifications, on a given day. Nothing is fetched."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from apps.inventory.choices import WORKING, Outcome, Standing

DUE_DAYS = 60
"""So long before its end a verification is called due: time to find a reference and a day."""

# The worst first: what an item's verifications come to together.
WORST_FIRST = (
    Standing.FAILED, Standing.ENDED, Standing.EXPIRED, Standing.OPEN, Standing.DUE,
    Standing.VALID,
)  # fmt: skip


def latest_of_each(verifications: Iterable[Any]) -> list[Any]:
    """Of ``verifications`` of one item, oldest first, the last of each thing that was verified.

    Oldest first again. Those that were withdrawn never were.
    """
    kept: dict[tuple[str, ...], Any] = {}
    for each in verifications:
        if each.withdrawn_on is None:
            what = (each.kind, each.rule, each.subject, each.analyte)
            kept.pop(what, None)
            kept[what] = each
    return list(kept.values())


def standing(verification: Any, item: Any, on: dt.date) -> Standing:
    """What one verification is worth on the day ``on``; ``item`` as it is now.

    A repair, a move or another condition ends it. A failure stays one until then, or until
    the device is verified again; a pass lasts to the end of its last day.
    """
    if verification.ended_on is not None or not is_as_it_was(verification, item):
        return Standing.ENDED
    if verification.outcome == Outcome.FAIL:
        return Standing.FAILED
    if verification.outcome == Outcome.NOT_ENOUGH:
        return Standing.OPEN
    if on > verification.valid_until:
        return Standing.EXPIRED
    left = verification.valid_until - on
    return Standing.DUE if left <= dt.timedelta(days=DUE_DAYS) else Standing.VALID


def is_as_it_was(verification: Any, item: Any) -> bool:
    """Whether the device works, where it was, and is the model that it was taken for."""
    return (
        item.condition in WORKING
        and item.facility_id == verification.facility_id
        and item.device_model_id == verification.device_model_id
    )


def standing_of(verifications: Iterable[Any], item: Any, on: dt.date) -> Standing:
    """The worst standing among the latest of each thing verified; oldest first."""
    found = {standing(each, item, on) for each in latest_of_each(verifications)}
    return next((each for each in WORST_FIRST if each in found), Standing.NEVER)
