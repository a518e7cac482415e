"""Sites and outlines as GeoJSON (RFC 7946)."""

import json
from collections.abc import Iterator
from typing import Any

from apps.facilities.models import Area
from apps.facilities.selectors import areas_for, facilities_for
from apps.imports.adapters.geometry import MOST_DECIMALS, stored_outline
from apps.imports.adapters.tables import TABLES

PLACE = ("latitude", "longitude")


def places_geojson(user: Any, area: Area) -> str:
    """The areas and open sites of ``area`` that ``user`` may see; reading it changes nothing.

    Areas come first, each with its outline (``null`` where none is kept), then sites as
    Points. Properties are the columns of the tables; ``id`` is the code.
    """
    areas = areas_for(user).within(area.path).order_by("path")
    sites = facilities_for(user).within(area.path)
    features = [*map(_drawn, areas), *_points(sites)]
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False)


def _drawn(area: Area) -> dict[str, Any]:
    properties = {
        "code": area.code,
        "name": area.name,
        "kind": area.kind,
        "parent": area.parent.code if area.parent else None,
        "currency": area.currency,
    }
    land = stored_outline(area.outline)
    return _feature(properties, land.as_json if land else None)


def _points(sites: Any) -> Iterator[dict[str, Any]]:
    columns = [name for name in TABLES["facilities.csv"].sheet.columns if name not in PLACE]
    paths = ["area__code" if name == "area" else name for name in columns]
    for latitude, longitude, *values in sites.values_list(*PLACE, *paths).iterator():
        position = [round(longitude, MOST_DECIMALS), round(latitude, MOST_DECIMALS)]
        properties = dict(zip(columns, map(_plain, values), strict=True))
        yield _feature(properties, {"type": "Point", "coordinates": position})


def _feature(properties: dict[str, Any], geometry: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": properties["code"],
        "geometry": geometry,
        "properties": properties,
    }


def _plain(value: Any) -> Any:
    return value.isoformat() if hasattr(value, "isoformat") else value
