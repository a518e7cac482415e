"""Units of a planning case, which are counted, as items of the register, which have numbers."""

import hashlib
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass

from apps.inventory.choices import REPAIRABLE, WORKING, Condition
from apps.inventory.models import EquipmentItem
from planner.engine.case import Stock

SEPARATOR = "--"
LONGEST_STEM = 52  # a number and a hyphen still fit into the 60 letters of a code
Place = tuple[str, str, str]
"""Site, device model, and the condition that a unit is entered in."""


@dataclass(frozen=True)
class Units:
    """``new``: items to be entered; ``surplus``: what the register has and the case has not."""

    new: tuple[Mapping[str, str], ...]
    surplus: tuple[str, ...]


def units(stock: Iterable[Stock], sites: Container[str], note: str) -> Units:
    """The units of ``stock`` that the register lacks, as items under numbers that are free.

    A unit is one of those there if the register has an item of its model at its site that
    works, or that can be repaired, as the case says. Nothing is removed. ``sites``: those
    of the case.
    """
    items = list(
        EquipmentItem.objects.values_list(
            "code", "facility__code", "device_model__code", "condition"
        )
    )
    models = {code: model for code, _, model, _ in items}
    said = _said(stock, models)
    there = Counter(
        (site, model, condition)
        for _, site, model, kept in items
        if (condition := _entered_in(kept))
    )
    surplus = {
        place: count - said[place]
        for place, count in there.items()
        if place[0] in sites and count > said[place]
    }
    taken = set(models)
    new = [
        {"code": code, "facility": place[0], "device_model": place[1], "condition": place[2],
         "basis": "imported", "note": note}
        for place, count in sorted(said.items())
        for code in _free_codes(place, count - there[place], taken)
    ]  # fmt: skip
    told = [
        f"{count} {model} at {site} ({Condition(condition).label.lower()})"
        for (site, model, condition), count in sorted(surplus.items())
    ]
    return Units(tuple(new), tuple(told))


def _said(stock: Iterable[Stock], models: Mapping[str, str]) -> Counter[Place]:
    """How many units there are of what; an item that was verified is one of its model again."""
    said: Counter[Place] = Counter()
    for entry in stock:
        stem, _, item = entry.model.partition(SEPARATOR)
        model = models.get(item, stem)
        said[entry.site, model, Condition.IN_USE] += entry.working
        said[entry.site, model, Condition.REPAIRABLE] += entry.broken
    return said


def _entered_in(condition: str) -> str:
    if condition in WORKING:
        return Condition.IN_USE
    return Condition.REPAIRABLE if condition in REPAIRABLE else ""


def _free_codes(place: Place, count: int, taken: set[str]) -> Iterator[str]:
    stem = f"{place[0]}-{place[1]}"
    if len(stem) > LONGEST_STEM:
        digest = hashlib.sha256(stem.encode()).hexdigest()[:8]
        stem = f"{stem[: LONGEST_STEM - 9]}-{digest}"
    number = 0
    while count > 0:
        number += 1
        code = f"{stem}-{number}"
        if code not in taken:
            taken.add(code)
            count -= 1
            yield code
