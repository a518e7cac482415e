"""Outlines of areas: a GeoJSON FeatureCollection (RFC 7946) of polygons, named by area code."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from apps.facilities.models import Area
from apps.imports.adapters.files import Problem
from apps.imports.adapters.known import SPOILED, Known

FILE = "outlines.geojson"
Outline = dict[str, Any]


def read_outlines(path: Path, known: Known) -> Iterator[tuple[int, Outline] | Problem]:
    """Primary key of an area and its outline, for each feature; or what is wrong with it."""
    try:
        document = json.loads(path.read_bytes().decode("utf-8-sig"))
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        line = getattr(error, "lineno", 1)
        yield Problem(path.name, line, f"this is not JSON ({error}). Save it as GeoJSON, in UTF-8.")
        return
    features = document.get("features") if isinstance(document, dict) else None
    if not isinstance(features, list) or document.get("type") != "FeatureCollection":
        yield Problem(path.name, 1, "expected a GeoJSON FeatureCollection with a list of features.")
        return
    for at, feature in enumerate(features):
        try:
            read = _feature(feature, known)
        except (KeyError, TypeError, ValueError) as error:
            yield Problem(path.name, 1, f"features[{at}]: {error.args[0]}")
        else:
            if read is not None:
                yield read


def _feature(feature: Any, known: Known) -> tuple[int, Outline] | None:
    if not isinstance(feature, dict) or not isinstance(feature.get("properties"), dict):
        raise ValueError('expected a feature with "properties" and "geometry".')
    code = feature["properties"].get("code")
    if (str(code),) not in known.of(Area):
        raise ValueError(f"properties.code is {code!r}, which is none of the areas.")
    outline = _polygon(feature.get("geometry"))
    pk = known.of(Area)[str(code),]
    return None if pk is SPOILED else (pk, outline)


def _polygon(geometry: Any) -> Outline:
    if not isinstance(geometry, dict) or geometry.get("type") != "Polygon":
        raise ValueError("geometry must be a Polygon.")
    rings = geometry.get("coordinates")
    if not isinstance(rings, list) or not rings:
        raise ValueError("geometry.coordinates must be a list of rings.")
    return {"type": "Polygon", "coordinates": [_ring(ring) for ring in rings]}


def _ring(ring: Any) -> list[list[float]]:
    if not isinstance(ring, list) or len(ring) < 4 or ring[0] != ring[-1]:
        raise ValueError("a ring has at least four positions, and the last repeats the first.")
    return [_position(position) for position in ring]


def _position(position: Any) -> list[float]:
    numbers = isinstance(position, list) and len(position) >= 2
    if not numbers or not all(type(each) in (int, float) for each in position[:2]):
        raise ValueError(f"{position!r} is no position; expected [longitude, latitude].")
    longitude, latitude = position[:2]
    if not (-180 <= longitude <= 180 and -90 <= latitude <= 90):
        raise ValueError(f"{position!r} is out of range; expected longitude before latitude.")
    return [float(longitude), float(latitude)]
