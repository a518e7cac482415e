"""The frame of a GeoJSON file: its features, and the coordinates that they are in."""

import json
from collections.abc import Mapping
from typing import Any

from apps.imports.adapters.sources import RefusedFileError

EXPORT_AGAIN = "Export it again as a GeoJSON FeatureCollection, in longitude and latitude (WGS 84)."
# Files older than the standard name their coordinates; these mean longitude and latitude.
SAME_COORDINATES = ("CRS84", "EPSG::4326", "EPSG:4326")
Feature = tuple[int, Mapping[str, Any], Any]


def check_coordinates(name: str, document: Mapping[str, Any], notes: dict[str, None]) -> None:
    """RFC 7946, section 4: the member ``crs`` is gone, since all is longitude and latitude."""
    if "crs" not in document:
        return
    said = json.dumps(document["crs"])
    if not any(each in said for each in SAME_COORDINATES):
        raise RefusedFileError(
            f"{name} is in other coordinates than longitude and latitude (crs: {said:.80}).",
            remedy=EXPORT_AGAIN,
        )
    notes["The member crs, which the standard has no more, was passed over."] = None


def features_of(name: str, document: Mapping[str, Any]) -> list[Feature]:
    features = document.get("features")
    if document.get("type") == "Feature":
        features = [document]
    elif document.get("type") != "FeatureCollection" or not isinstance(features, list):
        raise RefusedFileError(f"{name} is no collection of features.", remedy=EXPORT_AGAIN)
    if not features:
        raise RefusedFileError(f"{name} has no features.", remedy=EXPORT_AGAIN)
    return [(line, *_parts(name, line, each)) for line, each in enumerate(features, 1)]


def _parts(name: str, line: int, feature: Any) -> tuple[Mapping[str, Any], Any]:
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise RefusedFileError(f"{name}: feature {line} is none.", remedy=EXPORT_AGAIN)
    properties = feature.get("properties") or {}
    if not isinstance(properties, dict):
        raise RefusedFileError(
            f"{name}: the properties of feature {line} are no object.", remedy=EXPORT_AGAIN
        )
    code = feature.get("id", "")
    return {"code": code, **properties}, feature.get("geometry")
