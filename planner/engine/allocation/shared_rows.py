"""The rows that sites share: demand that may travel, money, trainer days, floors."""

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints
from planner.engine.allocation.draft import Draft
from planner.engine.allocation.funds import fund_rows

CAPITAL, RECURRENT, TRAINER_DAYS = "limits.capital", "limits.recurrent", "limits.trainer_days"


def floor_of(area: str) -> str:
    """The name of an area's floor among the limits."""
    return f"areas.{area}.floor"


def serve_at_most_the_demand(draft: Draft) -> None:
    """(2) The shares of one site's demand for one test add up to at most 1."""
    column, arc, method, _ = draft.all_shares()
    tests = len(draft.instance.catalogue.tests)
    asked = draft.instance.places.origin[arc] * tests + draft.instance.catalogue.test_of[method]
    _, row, ways = np.unique(asked, return_inverse=True, return_counts=True)
    several = ways[row] > 1  # a single share is at most 1 by its own bound
    _, row = np.unique(row[several], return_inverse=True)
    draft.builder.add_rows(row, column[several], 1.0, upper=np.ones(row.max(initial=-1) + 1))


def keep_to_the_money(draft: Draft) -> None:
    """(6) Capital and earmarks pay for every action, each earmark for its own devices only."""
    columns, site, action = draft.all_actions()
    price = draft.instance.places.price[site, action]
    moves, transport = draft.all_moves()
    rows = fund_rows(draft.instance)
    if rows is None:
        _draw_on_earmarks(draft, columns, action, price)
        return
    for row in rows:
        paid = row.actions[action]
        spent_on = np.append(columns[paid], moves)
        _at_most(draft, CAPITAL, spent_on, np.append(price[paid], transport), row.money)


def _draw_on_earmarks(draft: Draft, columns: Ints, action: Ints, price: Floats) -> None:
    """The same with a variable for each earmark and group of actions with the same tags: the
    share of the earmark that pays for the group."""
    bounds, builder = draft.instance.bounds, draft.builder
    groups, group_of = np.unique(draft.instance.catalogue.payable, axis=0, return_inverse=True)
    group, fund = np.nonzero(groups)
    drawn, money = builder.add_columns(gain=np.zeros(len(fund)), most=1.0), bounds.earmarks[fund]
    for number in range(len(groups)):
        paid, takes = group_of[action] == number, group == number
        builder.add_row(
            np.append(drawn[takes], columns[paid]),
            np.append(money[takes], -price[paid]),
            upper=0.0,
        )
    for number in range(len(bounds.earmarks)):
        builder.add_row(drawn[fund == number], 1.0, upper=1.0)
    moves, transport = draft.all_moves()
    spent_on = np.concatenate([columns, moves, drawn])
    _at_most(draft, CAPITAL, spent_on, np.concatenate([price, transport, -money]), bounds.capital)


def keep_to_the_running_cost(draft: Draft) -> None:
    """(7) Upkeep of what is added, supervision, consumables and transport stay within a year's
    money; tests that were possible before cost too."""
    catalogue, places = draft.instance.catalogue, draft.instance.places
    shares, arc, method, volume = draft.all_shares()
    actions, _, action = draft.all_actions()
    cost_of_tests = (catalogue.consumable_cost[method] + places.cost[arc]) * volume
    _at_most(
        draft,
        RECURRENT,
        np.append(actions, shares),
        np.append(catalogue.annual_cost[action], cost_of_tests),
        draft.instance.bounds.recurrent,
    )


def keep_to_the_trainer_days(draft: Draft) -> None:
    """(8) Training takes no more days than the trainers have."""
    columns, _, action = draft.all_actions()
    days = draft.instance.catalogue.trainer_days[action]
    _at_most(draft, TRAINER_DAYS, columns, days, draft.instance.bounds.trainer_days)


def reach_the_floors(draft: Draft) -> None:
    """(9) The people of each area get at least its share of the most that they could get."""
    catalogue, places, bounds = (
        draft.instance.catalogue, draft.instance.places, draft.instance.bounds
    )  # fmt: skip
    columns, arc, method, volume = draft.all_shares()
    area_of = places.area_of[places.origin[arc]]
    for area in np.flatnonzero(bounds.floor * bounds.possible > 0):
        inside = area_of == area
        limit = floor_of(bounds.areas[area])
        served, worth = columns[inside], (catalogue.value[method] * volume)[inside]
        if limit in draft.easing:
            column, most = draft.easing[limit]
            served, worth = np.append(served, column), np.append(worth, most)
        draft.builder.add_row(
            served, worth, lower=float(bounds.floor[area] * bounds.possible[area])
        )


def _at_most(draft: Draft, limit: str, columns: Ints, factors: Floats, amount: float) -> None:
    """A row of the shared limit ``limit``, eased where the draft says so; none if it is absent."""
    if np.isinf(amount):
        return
    if limit in draft.easing:
        column, most = draft.easing[limit]
        columns, factors = np.append(columns, column), np.append(factors, -most)
    draft.builder.add_row(columns, factors, upper=amount)
