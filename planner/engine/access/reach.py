"""How many people live how far from a place that offers something."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.access.distance import LATITUDE, LONGITUDE, Bools, Ints
from planner.engine.access.nearest import Pairs, nearest
from planner.engine.access.shares import PEOPLE
from planner.engine.access.table import TravelTable
from planner.engine.access.travel import Pace
from planner.engine.errors import InputError
from planner.engine.physics.quantities import Values

WITHIN_KM = 5.0
WITHIN_HOURS = (1.0, 2.0)


@dataclass(frozen=True)
class Reach:
    """For each site the way to the nearest capable one, and the people by how far they go.

    ``nearest_site`` (S,): position of the site reached in least time, -1 where none is
    capable; ``hours`` (S,) to it, infinite for none, and ``is_measured`` whether a table said
    so. ``straight_km`` (S,): to the capable site that is nearest in a straight line. A
    capable site is its own: 0 km, 0 hours. Where the place of a site is not known, its
    kilometres are NaN, and so are its hours unless a table has them.

    ``people`` counts everybody whose number is known; ``within_hours`` goes with
    ``hours_limits``. People who live at a capable site count as within everything.
    ``beyond``: further than the last limit. ``way_unknown``: people of sites without a place
    or a measured way. ``sites_uncounted``: sites whose people are not known, who are in no figure.
    """

    nearest_site: Ints
    hours: Values
    is_measured: Bools
    straight_km: Values
    people: float
    on_site: float
    within_km: float
    km_limit: float
    within_hours: tuple[float, ...]
    hours_limits: tuple[float, ...]
    beyond: float
    way_unknown: float
    sites_uncounted: int


def reach(
    latitude: ArrayLike,
    longitude: ArrayLike,
    people: ArrayLike,
    capable: ArrayLike,
    *,
    pace: Pace | None = None,
    table: TravelTable | None = None,
    km_limit: float = WITHIN_KM,
    hours_limits: tuple[float, ...] = WITHIN_HOURS,
) -> Reach:
    """People by their way to the nearest site where something is offered; all (S,).

    The people of a site's catchment are taken to live at it. A time in ``table`` takes
    precedence over the estimate by ``pace`` (a vehicle on unpaved roads, dry season). The
    kilometres are straight lines, the usual measure of a 5 km limit.
    """
    north, east = LATITUDE.values(latitude), LONGITUDE.values(longitude)
    number, runs = PEOPLE.values(people), np.asarray(capable, dtype=bool)
    if not north.shape == east.shape == number.shape == runs.shape or north.ndim != 1:
        raise InputError("reach", ["sites: expected one latitude, longitude, people, capable each"])
    site, hours, measured, km = _ways(
        (north, east), runs, pace or Pace(), table or TravelTable.empty()
    )
    counted = np.nan_to_num(number, nan=0.0)

    def among(chosen: Bools) -> float:
        return float(counted[chosen].sum())

    within = tuple(among(hours <= limit) for limit in hours_limits)
    return Reach(
        site,
        hours,
        measured,
        km,
        people=float(counted.sum()),
        on_site=among(runs),
        within_km=among(km <= km_limit),
        km_limit=km_limit,
        within_hours=within,
        hours_limits=hours_limits,
        beyond=among(hours > max(hours_limits)),
        way_unknown=among(np.isnan(hours)),
        sites_uncounted=int(np.isnan(number).sum()),
    )


def _ways(
    where: tuple[Values, Values], capable: Bools, pace: Pace, table: TravelTable
) -> tuple[Ints, Values, Bools, Values]:
    """Site reached in least time, hours, whether measured, shortest straight line; each (S,)."""
    placed = ~np.isnan(where[0]) & ~np.isnan(where[1])
    able = np.flatnonzero(placed & capable)
    _, straight_km = _nearest_able(where, placed, able, Pairs.none())
    # A measured pair is never estimated as well, though the estimate may be shorter.
    site, km = _nearest_able(where, placed, able, table.pairs(len(capable)))
    measured_site, measured_hours = table.fastest(capable)
    estimated_hours = km * pace.hours_per_km
    measured = ~np.isinf(measured_hours) & ~(estimated_hours < measured_hours) & ~capable
    hours = np.where(measured, measured_hours, estimated_hours)
    site = np.where(measured, measured_site, site)
    at_home = np.flatnonzero(capable)
    site[at_home], hours[at_home], straight_km[at_home] = at_home, 0.0, 0.0
    return site, hours, measured, straight_km


def _nearest_able(
    where: tuple[Values, Values], placed: Bools, able: Ints, left_out: Pairs
) -> tuple[Ints, Values]:
    """Position of the nearest of ``able`` and kilometres, for all sites; -1, NaN if not placed."""
    site, km = np.full(len(placed), -1), np.full(len(placed), np.nan)
    rows = np.flatnonzero(placed)
    found, km[rows] = nearest(
        (where[0][rows], where[1][rows]),
        (where[0][able], where[1][able]),
        left_out.among(rows, able),
    )
    site[rows] = np.append(able, -1)[found]
    return site, km
