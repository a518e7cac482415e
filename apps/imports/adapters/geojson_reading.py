"""A GeoJSON file (RFC 7946) as rows: Points are sites, Polygons the outlines of areas."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from apps.imports.adapters.geojson_files import Feature, check_coordinates, features_of
from apps.imports.adapters.geometry import GeometryError, Outline, outline, point
from apps.imports.adapters.json_files import json_object, text_of_json
from apps.imports.adapters.lands import Lands
from apps.imports.adapters.partial import with_columns
from apps.imports.adapters.placing import EXCHANGE, placed
from apps.imports.adapters.sources import Fault, Source, SourceRow, SourceSheet
from apps.imports.adapters.tables import OUTLINE, TABLES

SITES, AREAS = TABLES["facilities.csv"], TABLES["areas.csv"]
PLACE = ("latitude", "longitude")


def read_geojson(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """Sites and outlines of the GeoJSON file ``content``; rows are counted as features, from 1.

    A site or an area is known by ``code`` among the properties of its feature, or else by the
    feature's ``id``; other properties count where they bear the name of a column and each
    feature of the kind has them. Raises ``RefusedFileError`` where it is no such file.
    """
    document = json_object(name, content)
    notes: dict[str, None] = {}
    check_coordinates(name, document, notes)
    sites: list[Feature] = []
    areas: list[Feature] = []
    for feature in features_of(name, document):
        properties, geometry = feature[1], feature[2]
        kind = geometry.get("type") if isinstance(geometry, dict) else None
        drawn = kind in ("Polygon", "MultiPolygon")
        (areas if drawn or (kind is None and "kind" in properties) else sites).append(feature)
    sheets = []
    lands: dict[str, Outline] = {}
    if areas:
        sheets.append(_areas(areas, lands, notes))
    if sites:
        sheets.append(_sites(sites, lands, notes))
    return Source(tuple(sheets), notes=tuple(notes))


def _sites(
    features: Sequence[Feature], lands: Mapping[str, Outline], notes: dict[str, None]
) -> SourceSheet:
    columns = [*_columns(features, SITES.sheet.columns, PLACE, notes, "sites"), *PLACE]
    rows = []
    for line, properties, geometry in features:
        cells = {name: text_of_json(properties.get(name)) for name in columns}
        try:
            longitude, latitude = point(geometry)
        except GeometryError as error:
            rows.append(SourceRow(line, cells, (_fault(error),)))
        else:
            cells |= {"latitude": repr(latitude), "longitude": repr(longitude)}
            rows.append(SourceRow(line, cells))
    marked, odd = placed(rows, {name: "geometry" for name in PLACE}, Lands(lands))
    notes |= dict.fromkeys(odd)
    return _sheet(SITES, columns, marked)


def _areas(
    features: Sequence[Feature], lands: dict[str, Outline], notes: dict[str, None]
) -> SourceSheet:
    columns = _columns(features, AREAS.sheet.columns, (OUTLINE,), notes, "areas")
    drawn = any(geometry is not None for _, _, geometry in features)
    rows, faults = list[tuple[int, dict[str, str]]](), dict[int, Fault]()
    for line, properties, geometry in features:
        cells = {name: text_of_json(properties.get(name)) for name in columns}
        rows.append((line, cells))
        if geometry is None:
            continue
        try:
            land = outline(geometry)
        except GeometryError as error:
            faults[line] = _fault(error)
            continue
        lands[cells["code"]] = land
        cells[OUTLINE] = json.dumps(land.as_json)
        for repair in land.repaired:
            notes[f"{cells['code']}: {repair}."] = None
    known = Lands(lands)
    for line, cells in rows:
        if cells["code"] in lands and (fault := _exchanged(cells, known)):
            faults.setdefault(line, fault)
    read = [SourceRow(line, cells, (faults[line],) if line in faults else ())
            for line, cells in rows]  # fmt: skip
    return _sheet(AREAS, [*columns, *([OUTLINE] if drawn else [])], read)


def _exchanged(cells: Mapping[str, str], lands: Lands) -> Fault | None:
    """Whether an area lies outside the one that it is a part of, and inside with its degrees
    exchanged."""
    parent = lands.outline(cells.get("parent") or lands.parent(cells["code"]))
    land = lands.outline(cells["code"])
    if parent is None or land is None:
        return None
    here = any(parent.holds(x, y) for x, y in land.corners)
    if here or not all(parent.holds(y, x) for x, y in land.corners):
        return None
    reason = "longitude and latitude seem exchanged: the outline lies outside the area that it is"
    return Fault("geometry", cells["code"], f"{reason} a part of, and inside otherwise", EXCHANGE)


def _columns(
    features: Iterable[Feature],
    columns: Sequence[str],
    apart: Sequence[str],
    notes: dict[str, None],
    what: str,
) -> list[str]:
    """The columns that each of ``features`` states; what only some state is told of."""
    stated = [set(properties) for _, properties, _ in features]
    everywhere, somewhere = set.intersection(*stated), set.union(*stated)
    known = [name for name in columns if name in everywhere and name not in apart]
    unknown = sorted(somewhere - set(columns))
    if unknown:
        notes[f"Properties of {what} that are not known here: {', '.join(unknown)}."] = None
    partly = [name for name in columns if name in somewhere - everywhere and name not in apart]
    if partly:
        notes[
            f"Not all {what} have {', '.join(partly)}, so that is left as it is in the register."
        ] = None
    return known


def _fault(error: GeometryError) -> Fault:
    value = json.dumps(error.value)[:80] if error.value else ""
    return Fault("geometry", value, error.reason, error.remedy)


def _sheet(table: Any, columns: Sequence[str], rows: list[SourceRow]) -> SourceSheet:
    headings = {name: "geometry" if name in (*PLACE, OUTLINE) else name for name in columns}
    return SourceSheet(with_columns(table, columns), table.title, headings, rows, len(rows))
