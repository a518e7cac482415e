"""Can these supplies serve these demands? A maximum flow, small and exact.

Used twice: machine hours (units serve needs) and money (funds pay items). Every step moves
the smallest amount on a shortest path, and that amount becomes exactly zero somewhere, so
the search ends without any tolerance (Edmonds and Karp 1972).
"""

from collections import deque
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Generic, TypeVar

Source = TypeVar("Source", bound=Hashable)


@dataclass(frozen=True)
class Shortage(Generic[Source]):
    """Demands that together ask for more than all the sources that may serve them have.

    By the theorem of Hall and Gale such a set exists exactly when no split is possible.
    """

    sources: frozenset[Source]
    asked: float
    available: float


def shortage(
    supply: Mapping[Source, float], demand: Mapping[frozenset[Source], float]
) -> Shortage[Source] | None:
    """The demands that cannot be served, ``None`` if some split serves all.

    ``demand`` is keyed by the set of sources that may serve it; a source that is not in
    ``supply`` has nothing.
    """
    split = _Split(supply, demand)
    for group in demand:
        while split.unserved[group] > 0 and (path := split.path_from(group)):
            split.shift_along(path)
    short = [group for group, rest in split.unserved.items() if rest > 0]
    if not short:
        return None
    groups, sources = split.reached_from(short)
    return Shortage(
        frozenset(sources),
        asked=sum(demand[group] for group in groups),
        available=sum(supply.get(source, 0.0) for source in sources),
    )


Group = frozenset[Source]
Path = list[tuple[frozenset[Source], Source]]


class _Split(Generic[Source]):
    """Amounts that sources give to groups, and what is left on both sides."""

    def __init__(
        self, supply: Mapping[Source, float], demand: Mapping[frozenset[Source], float]
    ) -> None:
        self.spare = {source: supply.get(source, 0.0) for group in demand for source in group}
        self.unserved = dict(demand)
        self.given: dict[Source, dict[frozenset[Source], float]] = {s: {} for s in self.spare}

    def path_from(self, start: frozenset[Source]) -> "Path[Source] | None":
        """Shortest chain of (group, source): each source taken over from the group before."""
        came_by: dict[Source, tuple[frozenset[Source], Source | None]] = {}
        waiting: deque[tuple[frozenset[Source], Source | None]] = deque([(start, None)])
        while waiting:
            group, before = waiting.popleft()
            for source in group:
                if source in came_by:
                    continue
                came_by[source] = (group, before)
                if self.spare[source] > 0:
                    return _chain(came_by, source)
                waiting.extend((g, source) for g, amount in self.given[source].items() if amount)
        return None

    def shift_along(self, path: "Path[Source]") -> None:
        """Serve the first group more; each later group moves on to its own source."""
        (first, _), (_, last) = path[0], path[-1]
        released = [(group, source) for (_, source), (group, _) in pairwise(path)]
        amount = min(
            self.unserved[first],
            self.spare[last],
            *(self.given[source][group] for group, source in released),
        )
        self.unserved[first] -= amount
        self.spare[last] -= amount
        for group, source in path:
            self.given[source][group] = self.given[source].get(group, 0.0) + amount
        for group, source in released:
            self.given[source][group] -= amount

    def reached_from(
        self, groups: list[frozenset[Source]]
    ) -> tuple[set[frozenset[Source]], set[Source]]:
        """All that hangs together with ``groups``: a set that is too large for its sources."""
        seen, sources, waiting = set(groups), set[Source](), list(groups)
        while waiting:
            for source in waiting.pop() - sources:
                sources.add(source)
                holders = {g for g, amount in self.given[source].items() if amount} - seen
                seen |= holders
                waiting += holders
        return seen, sources


def _chain(
    came_by: Mapping[Source, tuple[frozenset[Source], Source | None]], last: Source
) -> "Path[Source]":
    path: list[tuple[frozenset[Source], Source]] = []
    source: Source | None = last
    while source is not None:
        group, before = came_by[source]
        path.append((group, source))
        source = before
    return path[::-1]
