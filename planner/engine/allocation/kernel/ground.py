"""The groundwork of ``groundwork.py`` for ordinary sites, compiled: thousands of them at once.

Same rules, same order, same answers; a test holds the two together. Ordinary means that
every unit is sure to work, nothing is fixed, bundled or moved, and things fit a bit mask.
"""

from typing import NamedTuple

import numpy as np

from planner.engine.allocation.arrays import Bools, Floats, Ints
from planner.engine.allocation.kernel.blocks import Blocks
from planner.engine.allocation.kernel.compiled import compiled

_SLACK = 1e-9


class Facts(NamedTuple):
    """What holds everywhere, things as bits: kinds of device first.

    ``needs`` (by method), ``gives`` (by action) and ``suits`` (by model) are masks of things;
    ``wider`` (by kind) of the kinds that contain it, itself too. ``tags`` (by action) are
    masks of earmarks. ``sets`` and ``kinds_of`` are masks of models: sets of models that can
    be short of hours together, and models by kind. ``device_hours`` is methods × kinds.
    """

    test_of: Ints
    value: Floats
    staff_hours: Floats
    consumable: Floats
    needs: Ints
    device_hours: Floats
    kinds_of: Ints
    suits: Ints
    gives: Ints
    wider: Ints
    annual: Floats
    unit_hours: Floats
    tags: Ints
    sets: Ints


class Spot(NamedTuple):
    """One site: tests asked for, mask of what is absent, units, hours, prices, quantities."""

    volume: Floats
    absent: int
    working: Floats
    staff: float
    price: Floats
    allowed: Ints


class Spots(NamedTuple):
    """All sites: the same with a row for each."""

    volume: Floats
    absent: Ints
    working: Floats
    staff: Floats
    price: Floats
    allowed: Ints


@compiled
def _greatest(facts: Facts, spot: Spot, per_test: Floats, on: Bools) -> float:
    """The most that the whole volume could use of ``per_test`` (by method), ways ``on``."""
    most = np.zeros(len(spot.volume))
    for method in range(len(on)):
        if on[method]:
            test = facts.test_of[method]
            most[test] = max(most[test], per_test[method])
    total = 0.0
    for test in range(len(most)):
        total += most[test] * spot.volume[test]
    return total


@compiled
def _greatest_load(facts: Facts, spot: Spot, load: Floats, on: Bools) -> float:
    """The most machine hours that volume and staff could ask; ``load`` by method."""
    using, staffed, any_using, rate = on.copy(), True, False, 0.0
    for method in range(len(on)):
        using[method] = on[method] and load[method] > 0
        if using[method]:
            any_using = True
            if facts.staff_hours[method] > 0:
                rate = max(rate, load[method] / facts.staff_hours[method])
            else:
                staffed = False
    greatest = _greatest(facts, spot, load, using)
    if any_using and staffed:
        return min(greatest, spot.staff * rate)
    return greatest


@compiled
def _load(facts: Facts, kinds: int) -> Floats:
    """Hours of one test on the ``kinds`` (mask), by method."""
    load = np.zeros(len(facts.needs))
    for kind in range(len(facts.kinds_of)):
        if kinds >> kind & 1:
            load += facts.device_hours[:, kind]
    return load


@compiled
def _rows(facts: Facts, spot: Spot, on: Bools, most: Ints) -> tuple[Floats, Floats, Floats]:
    """Rows of machine hours that can bind: load by method, room, added by action."""
    models, methods = len(facts.suits), len(on)
    loads, added = np.zeros((len(facts.sets), methods)), np.zeros((len(facts.sets), len(most)))
    room, seen = np.zeros(len(facts.sets)), np.zeros(len(facts.sets), np.int64)
    count, there = 0, 0
    for model in range(models):
        if spot.working[model] > 0 or most[model] > 0 or most[models + model] > 0:
            there |= 1 << model
    busy = 0
    for kind in range(len(facts.kinds_of)):
        for method in range(methods):
            if on[method] and facts.device_hours[method, kind] > 0:
                busy |= 1 << kind
                break
    for number in range(len(facts.sets)):
        inside, again = facts.sets[number] & there, False
        for earlier in range(number):
            again = again or seen[earlier] == inside
        seen[number] = inside
        kinds = 0
        for kind in range(len(facts.kinds_of)):
            if busy >> kind & 1 and facts.kinds_of[kind] & there & ~inside == 0:
                kinds |= 1 << kind
        if again or not _hang_together(facts, there, kinds, inside):
            continue
        load, available, units = _load(facts, kinds), 0.0, 0.0
        for model in range(models):
            if inside >> model & 1:
                available += facts.unit_hours[model] * spot.working[model]
                units += spot.working[model]
        short = _greatest_load(facts, spot, load, on) - available
        if short <= _SLACK * (1 + available):
            continue
        alone = True
        for action in range(2 * models):
            added[count, action] = 0.0
            if inside >> (action % models) & 1 and most[action] > 0:
                added[count, action] = min(facts.unit_hours[action], short)
                alone = alone and facts.unit_hours[action] >= short
        if alone and units == 0:
            continue
        loads[count, :], room[count] = load, available
        count += 1
    return loads[:count], room[:count], added[:count]


@compiled
def _hang_together(facts: Facts, there: int, kinds: int, inside: int) -> bool:
    """Whether the models that suit the ``kinds`` overlap one after the other to all ``inside``.

    Else the set says no more than smaller ones do.
    """
    reached, grown = 0, True
    while grown:
        grown = False
        for kind in range(len(facts.kinds_of)):
            its = facts.kinds_of[kind] & there
            if kinds >> kind & 1 and its & ~reached != 0 and (reached == 0 or its & reached != 0):
                reached, grown = reached | its, True
    return reached == inside and inside != 0


@compiled
def _possible(facts: Facts, spot: Spot) -> Bools:
    """Methods of some worth and demand, for which nothing is out of reach."""
    reach = 0
    for action in range(len(facts.gives)):
        if spot.allowed[action] > 0:
            reach |= facts.gives[action]
    on = np.zeros(len(facts.needs), np.bool_)
    for method in range(len(on)):
        missing = facts.needs[method] & spot.absent & ~reach
        asked = facts.value[method] > 0 and spot.volume[facts.test_of[method]] > 0
        staffed = spot.staff > 0 or facts.staff_hours[method] == 0
        on[method] = asked and staffed and missing == 0
    return on


@compiled
def _lacks(facts: Facts, spot: Spot) -> Ints:
    """Things that each method misses, with those that follow."""
    lacks = facts.needs & spot.absent
    for method in range(len(lacks)):
        for kind in range(len(facts.wider)):
            if lacks[method] >> kind & 1:
                lacks[method] |= facts.wider[kind]
    return lacks & spot.absent


@compiled
def _drop_beaten_ways(
    facts: Facts, spot: Spot, on: Bools, lacks: Ints, loads: Floats, staff: bool
) -> Bools:
    """Leave out each way that another way of the same test equals or beats in everything."""
    kept = on.copy()
    for other in range(len(on)):
        for one in range(len(on)):
            same = facts.test_of[one] == facts.test_of[other] and one != other
            if not (same and on[one] and on[other]):
                continue
            if _no_worse(facts, one, other, lacks, loads, staff) and (
                one < other or not _no_worse(facts, other, one, lacks, loads, staff)
            ):
                kept[other] = False
    return kept


@compiled
def _no_worse(facts: Facts, one: int, other: int, lacks: Ints, loads: Floats, staff: bool) -> bool:
    if facts.value[one] < facts.value[other] or facts.consumable[one] > facts.consumable[other]:
        return False
    if lacks[one] & ~lacks[other] != 0:
        return False
    if staff and facts.staff_hours[one] > facts.staff_hours[other]:
        return False
    return bool((loads[:, one] <= loads[:, other]).all())


@compiled
def _useful(facts: Facts, spot: Spot, on: Bools, needed: int) -> Ints:
    """Of each action, the quantity beyond which nothing could be gained, limits aside."""
    useful = np.zeros(len(facts.gives), np.int64)
    models = len(facts.suits)
    for action in range(len(useful)):
        useful[action] = facts.gives[action] & needed & spot.absent != 0
    for model in range(models):
        suits = facts.suits[model] & needed
        if suits == 0 or facts.unit_hours[model] <= 0:
            continue
        hours = facts.unit_hours[model]
        kinds, there = suits, hours * spot.working[model]
        short = _greatest_load(facts, spot, _load(facts, kinds), on) - there
        for other in range(models):
            covers = suits & ~facts.suits[other] == 0
            if other != model and spot.working[other] > 0 and covers:
                kinds |= facts.suits[other] & needed
                there += facts.unit_hours[other] * spot.working[other]
        short = min(short, _greatest_load(facts, spot, _load(facts, kinds), on) - there)
        units = int(np.ceil(max(0.0, short) / hours - _SLACK))
        for action in (model, models + model):
            useful[action] = max(useful[action], units)
    return useful


@compiled
def _drop_beaten_actions(facts: Facts, spot: Spot, needed: int, useful: Ints) -> Ints:
    """The useful and allowed quantities, 0 for devices that another device equals or beats."""
    devices = 2 * len(facts.suits)
    most = np.minimum(spot.allowed, useful)
    kept = most.copy()
    for other in range(devices):
        for one in range(devices):
            if one == other or most[one] == 0 or most[other] == 0:
                continue
            if _stands_in(facts, spot, one, other, needed, useful) and (
                one < other or not _stands_in(facts, spot, other, one, needed, useful)
            ):
                kept[other] = 0
    return kept


@compiled
def _stands_in(facts: Facts, spot: Spot, one: int, other: int, needed: int, useful: Ints) -> bool:
    return bool(
        spot.price[one] <= spot.price[other]
        and facts.annual[one] <= facts.annual[other]
        and facts.unit_hours[one] >= facts.unit_hours[other]
        and facts.gives[other] & needed & ~facts.gives[one] == 0
        and facts.tags[other] & ~facts.tags[one] == 0
        and spot.allowed[one] >= useful[one]
    )


@compiled
def _grounded(facts: Facts, spot: Spot) -> tuple[Bools, Ints, Ints, bool, Floats, Floats, Floats]:
    """Ways that stay, what methods lack, quantities; does staff bind; rows of machine hours."""
    on, lacks = _possible(facts, spot), _lacks(facts, spot)
    loads, _, _ = _rows(facts, spot, on, spot.allowed)
    hours = spot.staff * (1 + _SLACK)
    staff = _greatest(facts, spot, facts.staff_hours, on) > hours
    on = _drop_beaten_ways(facts, spot, on, lacks, loads, staff)
    needed = 0
    for method in range(len(on)):
        if on[method]:
            needed |= facts.needs[method]
    useful = _useful(facts, spot, on, needed)
    most = _drop_beaten_actions(facts, spot, needed, useful)
    staff = _greatest(facts, spot, facts.staff_hours, on) > hours
    loads, room, added = _rows(facts, spot, on, most)
    return on, lacks, most, staff, loads, room, added


@compiled
def _spot(spots: Spots, site: int) -> Spot:
    return Spot(
        spots.volume[site], spots.absent[site], spots.working[site], spots.staff[site],
        spots.price[site], spots.allowed[site],
    )  # fmt: skip


@compiled
def measure_sites(sites: Ints, facts: Facts, spots: Spots, sizes: Ints) -> None:
    """``sizes`` becomes, by site: ways, tests, items, rows of hours."""
    for site in sites:
        on, _, most, staff, loads, _, _ = _grounded(facts, _spot(spots, site))
        last, tests = -1, 0
        for method in range(len(on)):
            if on[method] and facts.test_of[method] != last:
                last = facts.test_of[method]
                tests += 1
        sizes[site, 0], sizes[site, 1] = on.sum(), tests
        sizes[site, 2], sizes[site, 3] = (most > 0).sum(), len(loads) + staff


@compiled
def fill_sites(sites: Ints, facts: Facts, spots: Spots, blocks: Blocks) -> None:
    """Write each site into its place in ``blocks``; hours are scaled so that the largest is 1."""
    for site in sites:
        spot = _spot(spots, site)
        on, lacks, most, staff, loads, room, added = _grounded(facts, spot)
        methods, items = np.flatnonzero(on), np.flatnonzero(most > 0)
        volume = spot.volume[facts.test_of[methods]]
        a, b = blocks.way_at[site], blocks.way_at[site + 1]
        c, d = blocks.item_at[site], blocks.item_at[site + 1]
        blocks.method[a:b], blocks.miss[a:b] = methods, lacks[methods]
        blocks.worth[a:b] = facts.value[methods] * volume
        blocks.running[a:b] = facts.consumable[methods] * volume
        blocks.action[c:d], blocks.most[c:d] = items, most[items]
        blocks.supply[c:d], blocks.price[c:d] = facts.gives[items], spot.price[items]
        place, last = blocks.first_at[site], -1
        for way in range(len(methods)):
            if facts.test_of[methods[way]] != last:
                last = facts.test_of[methods[way]]
                blocks.first[place] = way
                place += 1
        blocks.first[place] = len(methods)
        row, use, more = blocks.row_at[site], blocks.use_at[site], blocks.added_at[site]
        for number in range(-1 if staff else 0, len(loads)):
            load = facts.staff_hours if number < 0 else loads[number]
            hours = load[methods] * volume
            scale = hours.max()
            blocks.use[use : use + b - a] = hours / scale
            blocks.room[row] = (spot.staff if number < 0 else room[number]) / scale
            if number >= 0:
                blocks.added[more : more + d - c] = added[number][items] / scale
            row, use, more = row + 1, use + b - a, more + d - c
