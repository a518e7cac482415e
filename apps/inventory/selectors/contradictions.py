"""Facts of the register that cannot both be true."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from apps.facilities.models import Area
from apps.inventory.models import EquipmentItem
from apps.inventory.selectors.holdings import items_for

# Each of these days comes no later than those after it.
ORDER = (
    ("manufactured_on", "purchased_on"),
    ("manufactured_on", "received_on"),
    ("purchased_on", "received_on"),
    ("received_on", "accepted_on"),
    ("received_on", "in_service_on"),
    ("accepted_on", "in_service_on"),
    ("purchased_on", "warranty_until"),
)
PAST = (
    "manufactured_on", "received_on", "accepted_on", "in_service_on", "last_calibrated_on",
    "last_serviced_on", "observed_on",
)  # fmt: skip


@dataclass(frozen=True)
class SameSerial:
    """Devices of one model with one serial number: one of them is not there, or miswritten."""

    serial_number: str
    items: tuple[EquipmentItem, ...]


@dataclass(frozen=True)
class OddDates:
    """A day of ``item`` that lies before another one that must come first, or in the future.

    ``earlier`` is the field that should be the earlier one; blank: ``later`` is yet to come.
    """

    item: EquipmentItem
    earlier: str
    later: str


@dataclass(frozen=True)
class Contradictions:
    serials: tuple[SameSerial, ...]
    dates: tuple[OddDates, ...]


def contradictions(user: Any, district: Area) -> Contradictions:
    """Of the devices of ``district`` that ``user`` may see; two queries.

    A serial number is held against all devices within reach: the other one may stand in
    another district. Capitals, spaces and hyphens do not tell two serial numbers apart.
    """
    items = list(items_for(user).order_by("facility__name", "code"))
    own = [item for item in items if item.facility.area.path.startswith(district.path)]
    return Contradictions(tuple(_same_serials(items, district)), tuple(_odd_dates(own)))


def _same_serials(items: Iterable[EquipmentItem], district: Area) -> Iterator[SameSerial]:
    found: defaultdict[tuple[int, str], list[EquipmentItem]] = defaultdict(list)
    for item in items:
        if key := "".join(filter(str.isalnum, item.serial_number)).casefold():
            found[item.device_model_id, key].append(item)
    for same in found.values():
        inside = any(item.facility.area.path.startswith(district.path) for item in same)
        if len(same) > 1 and inside:
            yield SameSerial(same[0].serial_number, tuple(same))


def _odd_dates(items: Iterable[EquipmentItem]) -> Iterator[OddDates]:
    today = timezone.localdate()
    for item in items:
        for earlier, later in ORDER:
            first, second = getattr(item, earlier), getattr(item, later)
            if first and second and second < first:
                yield OddDates(item, earlier, later)
        for name in PAST:
            if (day := getattr(item, name)) and day > today:
                yield OddDates(item, "", name)
