"""Readings of single devices, and verifications recorded from them as a person would."""

import datetime as dt
from typing import Any

from django.utils import timezone

from apps.inventory.adapters import parse_readings, sets_for
from apps.inventory.models import EquipmentItem, Verification
from apps.inventory.services import record_verification

RADIUS_CM = 9.0


def steady_run(rpm: float) -> str:
    """A log of five minutes at one speed."""
    return f"seconds rpm\n0 {rpm}\n300 {rpm}\n"


def pairs(n: int, *, off: float = 0, spread: float = 0.5) -> str:
    """``n`` specimens from 20 up; the device reads ``off`` higher, to and fro by ``spread``."""
    rows = ((20 + at % 30 + off + spread * (-1) ** at, 20 + at % 30) for at in range(n))
    return "\n".join(f"{device:g}\t{reference:g}" for device, reference in rows)


def verify(item: EquipmentItem, text: str, *, kind: str = "spin", rule: str = "inspection",
           subject: str | None = None, **values: Any) -> Verification:  # fmt: skip
    """Record ``text`` as readings of ``item`` against the limits of ``rule``."""
    [limits] = [
        each
        for each in sets_for(item.device_model)
        if each.rule == rule and subject in (None, each.subject)
    ]
    spin = {"radius_cm": RADIUS_CM, "set_rpm": 11_000} if kind == "spin" else {}
    fixed = {
        "by": None,
        "done_on": timezone.localdate(),
        "operator": "technician",
        "reference": "tachometer",
    }
    return record_verification(
        item=item,
        kind=kind,
        readings=parse_readings(kind, text),
        limits=limits,
        **{**spin, **fixed, **values},
    )


def a_year_ago(*, days_more: int = 0) -> dt.date:
    """The day from which twelve months end today, or ``days_more`` earlier."""
    today = timezone.localdate()
    last_year = today.replace(year=today.year - 1, day=min(today.day, 28))
    return last_year + (today - today.replace(day=min(today.day, 28))) - dt.timedelta(days_more)
