"""Whether sites lie where their areas are: exchanged degrees, places outside, doubles."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from apps.facilities.models import Facility
from apps.imports.adapters.lands import Lands, Spot
from apps.imports.adapters.sources import Fault, SourceRow
from planner.engine.access import looks_swapped

SAME_PLACE_DECIMALS = 4
"""Two sites within some ten metres are taken for one that was entered twice."""
EXCHANGE = "Exchange the two numbers in the file, then upload it again."
NAMED = 10


def placed(
    rows: Sequence[SourceRow], columns: Mapping[str, str], lands: Lands | None = None
) -> tuple[list[SourceRow], list[str]]:
    """``rows`` of facilities with a fault where degrees look exchanged, and what is odd else.

    ``columns``: column to what the file calls it, for the faults. A site outside its
    district or block, and two at one place, are told of and taken over all the same.
    """
    lands = lands or Lands()
    spots = list(_spots(rows))
    exchanged = _exchanged(spots, lands)
    heading = columns.get("latitude", "latitude")
    marked = [
        replace(row, faults=(*row.faults, Fault(heading, *exchanged[row.line])))
        if row.line in exchanged
        else row
        for row in rows
    ]
    right = [spot for spot in spots if spot.line not in exchanged]
    return marked, [*_outside(right, lands), *_doubles(right)]


def _spots(rows: Sequence[SourceRow]) -> Iterator[Spot]:
    stored = {
        code: (name, area)
        for code, name, area in Facility.objects.values_list("code", "name", "area__code")
    }
    for row in rows:
        cells = row.cells
        code = cells.get("code", "")
        name, area = stored.get(code, ("", ""))
        latitude, longitude = _degrees(cells, "latitude", 90), _degrees(cells, "longitude", 180)
        if latitude is not None and longitude is not None:
            yield Spot(
                row.line, code, cells.get("name") or name, cells.get("area") or area,
                latitude, longitude,
            )  # fmt: skip


def _degrees(cells: Mapping[str, str], column: str, most: float) -> float | None:
    """What cannot be read, or is on no map, is told of where cells are read."""
    try:
        degrees = float(cells.get(column, ""))
    except ValueError:
        return None
    return degrees if -most <= degrees <= most else None


def _exchanged(spots: list[Spot], lands: Lands) -> dict[int, tuple[str, str, str]]:
    """Line to value, reason and remedy. Where no outline is known, sites that lie together are
    held against each other."""
    found, without = {}, list[Spot]()
    for spot in spots:
        district = lands.district(spot.area)
        land = lands.outline(district)
        if land is None:
            without.append(spot)
        elif not land.holds(spot.longitude, spot.latitude) and land.holds(
            spot.latitude, spot.longitude
        ):
            found[spot.line] = _told(spot, f"outside {lands.name(str(district))}", "inside")
    if without:
        stored = list(Facility.objects.values_list("latitude", "longitude"))
        north = [spot.latitude for spot in without] + [each for each, _ in stored]
        east = [spot.longitude for spot in without] + [each for _, each in stored]
        flags = looks_swapped(north, east)[: len(without)]
        for spot in (spot for spot, odd in zip(without, flags, strict=True) if odd):
            found[spot.line] = _told(spot, "far from the other sites", "near them")
    return found


def _told(spot: Spot, there: str, here: str) -> tuple[str, str, str]:
    said = f"(lat {spot.latitude:g}, lon {spot.longitude:g})"
    meant = f"(lat {spot.longitude:g}, lon {spot.latitude:g})"
    reason = f"latitude and longitude seem exchanged: {said} lies {there}, {meant} {here}"
    return said, reason, EXCHANGE


def _outside(spots: list[Spot], lands: Lands) -> Iterator[str]:
    by_district, by_block = defaultdict[str, list[str]](list), list[str]()
    for spot in spots:
        district, own = lands.district(spot.area), lands.outline(spot.area)
        land = lands.outline(district)
        if land and not land.holds(spot.longitude, spot.latitude):
            by_district[str(district)].append(spot.called)
        elif own and not own.holds(spot.longitude, spot.latitude):
            at = " and ".join(map(lands.name, lands.blocks_at(spot)))
            there = f", in {at}" if at else ""
            by_block.append(f"{spot.called} is said to be in {lands.name(spot.area)} and lies"
                            f" outside its outline{there}")  # fmt: skip
    for code, called in by_district.items():
        yield f"Outside the outline of {lands.name(code)}: {_listed(called)}."
    if by_block:
        yield f"{_listed(by_block, '; ')}."


def _doubles(spots: list[Spot]) -> Iterator[str]:
    """Sites at one place. Those of the register are not named: they may be somebody else's."""
    at: defaultdict[tuple[float, float], dict[str, str]] = defaultdict(dict)
    moved = {spot.code for spot in spots}
    for spot in spots:
        at[_place(spot.latitude, spot.longitude)][spot.code] = spot.called
    stored = Facility.objects.exclude(code__in=moved).values_list("latitude", "longitude")
    taken = {_place(*degrees) for degrees in stored} if at else set()
    for place, called in at.items():
        others = ["another site of the register"] if place in taken else []
        if len(called) + len(others) > 1:
            where = f"(lat {place[0]:g}, lon {place[1]:g})"
            told = _listed([*called.values(), *others], " and ")
            yield f"{told} are at one place, {where}."


def _place(latitude: float, longitude: float) -> tuple[float, float]:
    return round(latitude, SAME_PLACE_DECIMALS), round(longitude, SAME_PLACE_DECIMALS)


def _listed(texts: list[str], separator: str = ", ") -> str:
    more = f" and {len(texts) - NAMED} more" if len(texts) > NAMED else ""
    return separator.join(texts[:NAMED]) + more
