"""The nearest of many places to each of many places, exactly, by geodesics.

A tree of points in space finds candidates by straight chords. A chord is never longer than
the geodesic between the same places, so once the nearest candidate's geodesic is no longer
than the longest chord looked at, no place beyond the candidates can be nearer. Where that
is not certain, all places are measured.
"""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from planner.engine.access.distance import Bools, Ints, chord_points_km, geodesic_km
from planner.engine.physics.quantities import Values

CANDIDATES = 12
_ROWS_AT_ONCE = 200


@dataclass(frozen=True)
class Pairs:
    """Pairs (origin, place) that are left out of a search, as positions of ``places``."""

    keys: Ints
    places: int

    @classmethod
    def of(cls, origin: Ints, place: Ints, places: int) -> "Pairs":
        return cls(np.unique(origin * places + place), places)

    @classmethod
    def none(cls) -> "Pairs":
        return cls(np.empty(0, dtype=np.int64), 1)

    def among(self, origins: Ints, places: Ints) -> "Pairs":
        """The pairs of these origins and places, as positions in the two lists."""
        origin, place = np.divmod(self.keys, self.places)
        kept = np.isin(origin, origins) & np.isin(place, places)
        return Pairs.of(
            np.searchsorted(origins, origin[kept]),
            np.searchsorted(places, place[kept]),
            len(places),
        )

    def hold(self, origin: Ints, place: Ints) -> Bools:
        """Whether each pair is one of these; both broadcast."""
        wanted = origin * self.places + place
        at = np.searchsorted(self.keys, wanted)
        at = np.minimum(at, len(self.keys) - 1)
        return (self.keys[at] == wanted) if len(self.keys) else np.zeros(wanted.shape, dtype=bool)


def nearest(
    origins: tuple[Values, Values], places: tuple[Values, Values], left_out: Pairs
) -> tuple[Ints, Values]:
    """Position of the nearest place to each origin, and kilometres; -1 and infinite for none.

    ``origins``, ``places``: latitudes and longitudes in degrees, none unknown. Of equally
    near places the first. Pairs ``left_out`` are passed over.
    """
    count, found = len(places[0]), len(origins[0])
    if not count or not found:
        return np.full(found, -1), np.full(found, np.inf)
    looked_at = min(CANDIDATES, count)
    tree = cKDTree(chord_points_km(*places))
    chord, candidate = tree.query(chord_points_km(*origins), k=looked_at)
    chord, candidate = chord.reshape(found, looked_at), candidate.reshape(found, looked_at)
    place, km = _best(np.arange(found), candidate, origins, places, left_out)
    unsure = np.flatnonzero((km > chord[:, -1]) & (looked_at < count))
    for start in range(0, len(unsure), _ROWS_AT_ONCE):
        rows = unsure[start : start + _ROWS_AT_ONCE]
        every = np.broadcast_to(np.arange(count), (len(rows), count))
        place[rows], km[rows] = _best(rows, every, origins, places, left_out)
    return place, km


def _best(
    rows: Ints,
    candidate: Ints,
    origins: tuple[Values, Values],
    places: tuple[Values, Values],
    left_out: Pairs,
) -> tuple[Ints, Values]:
    """The nearest of each row's candidates; of equals the first place."""
    km = geodesic_km(
        origins[0][rows, None],
        origins[1][rows, None],
        places[0][candidate],
        places[1][candidate],
    )
    km = np.where(left_out.hold(rows[:, None], candidate), np.inf, km)
    least = km.min(axis=1)
    first = np.where(km == least[:, None], candidate, len(places[0])).min(axis=1)
    return np.where(np.isinf(least), -1, first), least
