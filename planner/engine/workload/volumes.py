"""How many tests each site is to do by which method, and with how many working units."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from planner.engine.case import Case, Result
from planner.engine.coverage import State
from planner.engine.coverage.assessment import Assessment
from planner.engine.matching.verdicts import Bools
from planner.engine.tables import Floats, Ints, positions

DEVICE_ACTIONS = ("buy", "repair", "move")


@dataclass(frozen=True)
class Asked:
    """Tests a year.

    ``volumes`` (S, M): to be done at a site by a method. ``own``, ``from_others`` (S,): of
    those, for the site's own people and for others'. ``sent_away``, ``undone`` (S,): what the
    site's people ask for that is done elsewhere, and that nobody in reach can do.
    """

    volumes: Floats
    own: Floats
    from_others: Floats
    sent_away: Floats
    undone: Floats


def asked_today(coverage: Assessment) -> Asked:
    """Each test by the best method, on site or where it is referred to; all of the demand."""
    tables, method = coverage.situation.tables, coverage.method
    runs = coverage.is_state(State.RUNS)
    site, test = np.nonzero((method >= 0) & (tables.demand > 0))
    at = np.where(runs, np.arange(len(runs))[:, None], coverage.referral_site)[site, test]
    done = _Done(site, at, method[site, test], tables.demand[site, test])
    return _asked(done, tables.demand.sum(axis=1), len(tables.method_test))


def asked_of_result(case: Case, result: Result) -> Asked:
    """The volumes of a plan."""
    site, method = positions(case.sites), positions(case.methods)
    done = _Done(
        _whole(site[each.origin] for each in result.volumes),
        _whole(site[each.at] for each in result.volumes),
        _whole(method[each.method] for each in result.volumes),
        np.fromiter((each.per_year for each in result.volumes), dtype=float),
    )
    demand = np.fromiter((sum(each.demand.values()) for each in case.sites), dtype=float)
    return _asked(done, demand, len(method))


def units_of(case: Case, result: Result | None = None) -> tuple[Floats, Floats]:
    """Working and broken units (S, D), after what ``result`` buys, repairs and moves.

    A repair counts as the part of a unit that can be expected of it.
    """
    site, model = positions(case.sites), positions(case.device_models)
    working = np.zeros((len(site), len(model)))
    broken = np.zeros_like(working)
    for entry in case.stock:
        at = site[entry.site], model[entry.model]
        working[at] += entry.working
        broken[at] += entry.broken
    for action in result.actions if result else ():
        if action.kind not in DEVICE_ACTIONS:
            continue
        at = site[action.site], model[action.item]
        is_repair = action.kind == "repair"
        expected = case.device_models[at[1]].repair_success if is_repair else 1.0
        working[at] += expected * action.quantity
        broken[at] -= action.quantity if is_repair else 0
        if action.moved_from is not None:
            working[site[action.moved_from], at[1]] -= action.quantity
    return working, broken


class _Done(NamedTuple):
    """Tests of the people of ``origin`` done ``at`` a site: positions, and tests a year."""

    origin: Ints
    at: Ints
    method: Ints
    per_year: Floats


def _asked(done: _Done, demand: Floats, methods: int) -> Asked:
    sites = len(demand)
    volumes = np.zeros((sites, methods))
    np.add.at(volumes, (done.at, done.method), done.per_year)
    here = done.origin == done.at

    def total(where: Ints, among: Bools) -> Floats:
        # Without entries numpy would count whole numbers.
        return np.bincount(where[among], done.per_year[among], minlength=sites).astype(float)

    own, away = total(done.origin, here), total(done.origin, ~here)
    undone = np.maximum(demand - own - away, 0.0)
    return Asked(volumes, own, total(done.at, ~here), away, undone)


def _whole(values: Iterable[int]) -> Ints:
    return np.fromiter(values, dtype=np.int64)
