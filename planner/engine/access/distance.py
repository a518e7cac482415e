"""How far two places are apart: geodesics on the WGS 84 ellipsoid."""

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod

from planner.engine.physics.quantities import Quantity, Values

Bools: TypeAlias = NDArray[np.bool_]
Ints: TypeAlias = NDArray[np.int64]

WGS84 = Geod(ellps="WGS84")
MEAN_RADIUS_KM = 6371.0088
"""Mean radius of the ellipsoid (IUGG), for ``haversine_km``."""

LATITUDE = Quantity("latitude", "°", -90, 90, "are latitude and longitude swapped?", False)
LONGITUDE = Quantity(
    "longitude", "°", -180, 180, "write places west of Greenwich as negative degrees", False
)
_METRES_PER_KM = 1000.0


def geodesic_km(
    latitude: ArrayLike, longitude: ArrayLike, to_latitude: ArrayLike, to_longitude: ArrayLike
) -> Values:
    """Shortest way on the ellipsoid between places in degrees, kilometres; NaN is not known.

    All four broadcast. Karney's algorithm as PROJ has it, exact to nanometres, also for
    places opposite each other, at a pole, or on both sides of the 180th meridian.

    Raises ``InputError`` for degrees that no place has, as swapped ones often are.
    """
    north, east, to_north, to_east = np.broadcast_arrays(
        LATITUDE.values(latitude),
        LONGITUDE.values(longitude),
        LATITUDE.values(to_latitude),
        LONGITUDE.values(to_longitude),
    )
    unknown = np.isnan(north) | np.isnan(east) | np.isnan(to_north) | np.isnan(to_east)
    # PROJ takes a place that is not a number for one far away.
    a, b, c, d = (np.where(unknown, 0.0, end).ravel() for end in (east, north, to_east, to_north))
    _, _, metres = WGS84.inv(a, b, c, d)
    km = np.asarray(metres, dtype=float).reshape(north.shape) / _METRES_PER_KM
    return np.where(unknown, np.nan, km)


def haversine_km(
    latitude: ArrayLike,
    longitude: ArrayLike,
    to_latitude: ArrayLike,
    to_longitude: ArrayLike,
    *,
    radius_km: float = MEAN_RADIUS_KM,
) -> Values:
    """Great circle on a sphere, kilometres: within 0.6 % of the geodesic, used only to check it."""
    north, to_north = np.radians(latitude), np.radians(to_latitude)
    half_north = (to_north - north) / 2
    half_east = np.radians(np.subtract(to_longitude, longitude)) / 2
    square = np.sin(half_north) ** 2 + np.cos(north) * np.cos(to_north) * np.sin(half_east) ** 2
    return np.asarray(2 * radius_km * np.arcsin(np.sqrt(np.clip(square, 0, 1))), dtype=float)


def looks_swapped(latitude: ArrayLike, longitude: ArrayLike, *, within_km: float = 300.0) -> Bools:
    """(S,): the place lies far from the others, but would not with its degrees exchanged.

    Far is further than ``within_km`` from the middle (median) of all places, such as those
    of one district; a place that could not exist exchanged is never flagged.
    """
    north, east = LATITUDE.values(latitude), LONGITUDE.values(longitude)
    known = ~np.isnan(north) & ~np.isnan(east)
    if not known.any():
        return np.zeros(north.shape, dtype=bool)
    middle = np.median(north[known]), np.median(east[known])
    exchangeable = np.abs(east) <= LATITUDE.highest
    there = geodesic_km(np.where(exchangeable, east, np.nan), north, *middle)
    here = geodesic_km(north, east, *middle)
    return np.asarray((here > within_km) & (there <= within_km))


def chord_points_km(latitude: Values, longitude: Values) -> Values:
    """(S, 3): the places in space, so that straight lines between them bound geodesics below."""
    north, east = np.radians(latitude), np.radians(longitude)
    bend = WGS84.a / np.sqrt(1 - WGS84.es * np.sin(north) ** 2)
    points = (
        bend * np.cos(north) * np.cos(east),
        bend * np.cos(north) * np.sin(east),
        bend * (1 - WGS84.es) * np.sin(north),
    )
    return np.stack(points, axis=-1) / _METRES_PER_KM
