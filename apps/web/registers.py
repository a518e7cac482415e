"""The register arranged for reading: what its fields are called, how complete a file is."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from apps.inventory.rules import SOON_DAYS, Due, completeness

LABELS = {
    "population": _("People in the catchment"),
    "testing_hours_per_year": _("Staff hours for testing"),
    "power_source": _("Power"),
    "power_hours_per_day": _("Power a day"),
    "power_available_w": _("Power left for the laboratory"),
    "open_days_per_week": _("Open in a week"),
    "open_hours_per_day": _("Open on such a day"),
    "water_source": _("Water"),
    "water_hours_per_day": _("Water a day"),
    "cold_storage_litres": _("Cold storage, 2 to 8 °C"),
    "cold_holdover_hours": _("Stays cold without power for"),
    "connectivity": _("What carries a result"),
    "biosafety": _("Biosafety"),
    "staff_count": _("How many people?"),
    "testing_hours_per_week": _("Testing, each of them in a week"),
    "last_trained_on": _("Last trained on"),
    "last_supervised_on": _("Last supervised on"),
    "presence": _("Is it there?"),
    "days_of_stock": _("Lasts for"),
    "expires_on": _("First to expire on"),
    "serial_number": _("Serial number"),
    "condition": _("Condition"),
    "reason": _("Why is it not in use?"),
    "note": _("Note"),
    "received_on": _("Received on"),
    "manufacturer": _("Maker"),
    "supplier": _("Supplier or giver"),
    "software_version": _("Software version"),
    "manufactured_on": _("Made on"),
    "purchased_on": _("Bought on"),
    "accepted_on": _("Accepted on"),
    "in_service_on": _("In service since"),
    "condition_when_received": _("When received it was"),
    "conformity_document": _("Certificate or acceptance report"),
    "location": _("Room or bench"),
    "instructions_held": _("Maker's instructions are at hand"),
    "maintenance_programme": _("Has a maintenance programme"),
    "last_calibrated_on": _("Last calibrated on"),
    "calibration_due_on": _("Calibration due on"),
    "last_serviced_on": _("Last serviced on"),
    "service_due_on": _("Service due on"),
    "warranty_until": _("Warranty until"),
    "contract": _("Service contract"),
    "contract_until": _("Contract until"),
    "purchase_cost": _("Cost"),
    "contact": _("Whom to call for service"),
    "kind": _("What was done?"),
    "cause": _("What had failed?"),
    "parts": _("Parts exchanged"),
    "days_down": _("Out of use for"),
    "cost": _("Cost"),
    "done_by": _("By whom, by training?"),
    "next_due_on": _("Next time on"),
    "observed_on": _("Seen on"),
}
AMENITIES = (
    "power_available_w", "open_days_per_week", "open_hours_per_day", "water_source",
    "water_hours_per_day", "cold_storage_litres", "cold_holdover_hours", "connectivity",
    "biosafety",
)  # fmt: skip
UNITS = {
    "population": _("people"),
    "testing_hours_per_year": _("hours a year"),
    "power_hours_per_day": _("hours"),
    "power_available_w": _("W"),
    "open_days_per_week": _("days"),
    "open_hours_per_day": _("hours"),
    "water_hours_per_day": _("hours"),
    "cold_storage_litres": _("litres"),
    "cold_holdover_hours": _("hours"),
    "testing_hours_per_week": _("hours"),
    "days_of_stock": _("days"),
    "days_down": _("days"),
}
KINDS_OF_FACT = {
    "site": _("the site itself"),
    "equipment": _("devices"),
    "skill": _("skills"),
    "infrastructure": _("infrastructure"),
    "staff": _("staff"),
    "stock": _("stock"),
}


@dataclass(frozen=True)
class FileRow:
    """One field of a file; ``value`` is blank where it is not known."""

    label: str
    value: Any
    unit: str = ""


def file_rows(item: Any, names: Iterable[str]) -> list[FileRow]:
    """Fields of ``item`` in words."""
    return [FileRow(label(name), in_words(item, name), UNITS.get(name, "")) for name in names]


def in_words(row: Any, name: str) -> Any:
    """A value as people read it; blank is not known."""
    each = row._meta.get_field(name)
    value = getattr(row, name)
    if each.choices:
        return getattr(row, f"get_{name}_display")() if value not in ("", None) else ""
    if isinstance(value, int | float | Decimal):
        return f"{float(value):,.10g}"
    if isinstance(value, dt.date):
        return date_format(value, "j M Y")
    return "" if value is None else value


def label(name: str) -> str:
    return str(LABELS.get(name, name.replace("_", " ")))


@dataclass(frozen=True)
class EquipmentRow:
    """A device in the list; ``due``: the first thing that is due on it, in words."""

    item: Any
    known: int
    of: int
    due: str
    days_over: int | None

    @property
    def is_over(self) -> bool:
        return (self.days_over or 0) > 0

    @property
    def is_near(self) -> bool:
        return self.days_over is not None and self.days_over >= -SOON_DAYS


def equipment_rows(
    items: Sequence[tuple[Any, Sequence[Due]]], today: dt.date
) -> list[EquipmentRow]:
    return [_equipment_row(item, dues, today) for item, dues in items]


def _equipment_row(item: Any, dues: Sequence[Due], today: dt.date) -> EquipmentRow:
    found = completeness(item)
    near = [each for each in dues if each.kind in ("calibration", "service") and each.on]
    first = min(near, key=lambda each: each.on, default=None)
    over = first.days_over(today) if first else None
    words = due_words(over) if first else ""
    return EquipmentRow(item, found.known, found.of, words, over)


def stale_by_site(stale: Iterable[Any]) -> list[tuple[Any, list[tuple[Any, str]]]]:
    """Each site once, the one with the oldest fact first, with the kinds of fact in words."""
    found: dict[Any, list[tuple[Any, str]]] = {}
    for each in stale:
        found.setdefault(each.facility, []).append((each, str(KINDS_OF_FACT[each.kind])))
    return list(found.items())


def due_words(days_over: int | None) -> str:
    """``12 days over``, ``in 30 days``, ``today``, or that no date is known."""
    if days_over is None:
        return gettext("no date known")
    if days_over == 0:
        return gettext("today")
    if days_over > 0:
        return ngettext("%(n)d day over", "%(n)d days over", days_over) % {"n": days_over}
    return ngettext("in %(n)d day", "in %(n)d days", -days_over) % {"n": -days_over}
