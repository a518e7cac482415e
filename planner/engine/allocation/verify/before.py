"""What the district can do today, held between two figures that are proved here.

Not below: volumes that keep every limit (but floors), held to them by the same sums and the
same maximum flow as a plan's. Not above: at any prices of hours and money, what the limits
are worth plus what each demand's best way is worth beyond what it would pay. A linear
program finds volumes and prices for which the two figures meet; if it were wrong they would
not. Where more hangs together than ``_LARGEST_TABLE`` holds they may stay apart.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from planner.engine.allocation.verify import hours, money, value
from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.allocation.verify.service import RECURRENT, Demand, Limit, Service, service
from planner.engine.allocation.verify.simplex import maximise
from planner.engine.case import Volume

_LARGEST_TABLE = 4_000_000  # cells: 32 MB


@dataclass(frozen=True)
class Bracket:
    """What is surely possible today, and what more than ``most`` is not."""

    volumes: tuple[Volume, ...]
    least: float
    most: float


def bracket(facts: Facts, today: Standing, planned: list[Volume]) -> Bracket:
    """The best bracket found; ``planned`` volumes keep all limits once a plan is carried out."""
    whole = service(facts, today)
    best_ways = [d.ways[0].volume(d.asked) for d in whole.demands]
    kept = [v for v in planned if today.runs(facts, v.at, facts.methods[v.method])]
    starts, most = [best_ways, kept], [whole.ceiling({})]
    rounds = [tuple(limit for limit in whole.capacity if limit != RECURRENT)]
    if RECURRENT in whole.capacity:
        rounds.append(tuple(whole.capacity))
    for limits in rounds:
        guess = _guess(whole, limits)
        starts.append(guess.volumes)
        most.append(whole.ceiling(guess.prices))
    within = [_within_limits(facts, today, start) for start in starts]
    worth = [value.objective(facts, volumes) for volumes in within]
    least = max(worth)
    return Bracket(tuple(within[worth.index(least)]), least, min(most))


@dataclass
class _Guess:
    """Volumes and prices that are good if the solver is right, and harmless if not."""

    volumes: list[Volume] = field(default_factory=list)
    prices: dict[Limit, float] = field(default_factory=dict)


def _guess(whole: Service, limits: tuple[Limit, ...]) -> _Guess:
    """The linear program under ``limits`` only, for each part that hangs together."""
    guess = _Guess()
    for demands, shared in _parts(whole.demands, limits):
        columns = sum(len(demand.ways) for demand in demands)
        rows = len(demands) + len(shared)
        if not shared or rows * (columns + rows) > _LARGEST_TABLE:
            guess.volumes += [demand.ways[0].volume(demand.asked) for demand in demands]
        else:
            _solve(demands, {limit: whole.capacity[limit] for limit in shared}, guess)
    return guess


def _solve(demands: list[Demand], capacity: Mapping[Limit, float], guess: _Guess) -> None:
    """Add the best volumes and their prices; variables are shares of what is asked."""
    columns = [
        (row, demand.asked, way) for row, demand in enumerate(demands) for way in demand.ways
    ]
    values = np.array([asked * way.worth for _, asked, way in columns])
    usage = np.zeros((len(demands) + len(capacity), len(columns)))
    usage[[row for row, _, _ in columns], range(len(columns))] = 1.0
    # Each limit is stated as a share of itself, so that hours and money weigh alike.
    scale = {limit: amount or 1.0 for limit, amount in capacity.items()}
    row_of = {limit: row for row, limit in enumerate(capacity, start=len(demands))}
    for column, (_, asked, way) in enumerate(columns):
        for limit, used in way.uses.items():
            if limit in row_of:
                usage[row_of[limit], column] = asked * used / scale[limit]
    right = [1.0] * len(demands) + [float(amount > 0) for amount in capacity.values()]
    shares, prices = maximise(values, usage, np.array(right))
    guess.prices |= {limit: float(prices[row]) / scale[limit] for limit, row in row_of.items()}
    guess.volumes += [
        way.volume(asked * float(share))
        for (_, asked, way), share in zip(columns, shares, strict=True)
        if share > 0
    ]


def _parts(
    demands: tuple[Demand, ...], limits: tuple[Limit, ...]
) -> Iterator[tuple[list[Demand], list[Limit]]]:
    """Demands that hang together by ``limits``, with those limits."""
    touched = [
        {limit for way in demand.ways for limit in way.uses}.intersection(limits)
        for demand in demands
    ]
    touching: defaultdict[Limit, set[int]] = defaultdict(set)
    for position, shared in enumerate(touched):
        for limit in shared:
            touching[limit].add(position)
    left = dict.fromkeys(range(len(demands)))
    while left:
        members, waiting = set[int](), {next(iter(left))}
        while waiting:
            members |= waiting
            together = set[Limit]().union(*(touched[position] for position in waiting))
            waiting = set[int]().union(*(touching[limit] for limit in together)) - members
        part = sorted(members)
        shared = set[Limit]().union(*(touched[p] for p in part))
        yield [demands[p] for p in part], [limit for limit in limits if limit in shared]
        for position in part:
            del left[position]


def _within_limits(facts: Facts, today: Standing, volumes: list[Volume]) -> list[Volume]:
    """``volumes``, each site's in one proportion, so that they fit hours and running cost."""
    share = {
        at: _share_that_fits(facts, today, at, dict(done))
        for at, done in hours.done_at(volumes).items()
    }
    fitting = [_scaled(volume, share[volume.at]) for volume in volumes]
    cost, limit = money.running_cost(facts, (), fitting), facts.case.limits.recurrent
    if limit is None or cost <= limit:
        return fitting
    return [_scaled(volume, limit / cost) for volume in fitting]


def _share_that_fits(facts: Facts, today: Standing, at: str, done: dict[str, float]) -> float:
    asked, there = hours.staff_hours(facts, done), facts.sites[at].staff_hours
    share = 1.0 if asked <= there else there / asked
    while True:
        load = {code: share * per_year for code, per_year in done.items()}
        short = hours.machine_shortage(facts, today, at, load)
        # A shortage that is rounding leaves the share as it is, and would come back for ever.
        if short is None or (smaller := share * short.available / short.asked) >= share:
            return share
        share = smaller


def _scaled(volume: Volume, share: float) -> Volume:
    return volume.model_copy(update={"per_year": volume.per_year * share})
