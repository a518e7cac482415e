"""Can the plan be paid, this year and every year, and is the money as stated?"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.engine.allocation.verify.actions import price_of_one
from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.transport import Shortage, shortage
from planner.engine.allocation.verify.violation import Violation, differs, exceeds, figure
from planner.engine.case import Action, Money, Volume

_CAPITAL = ""  # the fund for everything; no programme has this code


def violations(
    facts: Facts, actions: list[Action], volumes: list[Volume], stated: Money
) -> Iterator[Violation]:
    """Money that is overspent, paid from the wrong fund, or stated wrongly."""
    yield from _capital(facts, actions)
    yield from _payment(facts, actions, stated)
    yield from _recurrent(facts, actions, volumes, stated)
    limit = facts.case.limits.trainer_days
    days = sum(facts.skills[a.item].trainer_days for a in actions if a.kind == "train")
    if limit is not None and exceeds(days, limit):
        text = f"The training takes {figure(days)} trainer days, the limit is {figure(limit)}."
        yield Violation("trainer-days", text)


def running_cost(facts: Facts, actions: Iterable[Action], volumes: Iterable[Volume]) -> float:
    """What the whole service costs a year, with the units and skills of ``actions``."""
    total = 0.0
    for action in actions:
        if action.kind in ("buy", "repair"):
            total += action.quantity * facts.models[action.item].annual_cost
        elif action.kind == "train":
            share = facts.case.limits.supervised_share
            total += share * facts.skills[action.item].supervision_cost
    for volume in volumes:
        method = facts.methods[volume.method]
        if facts.reachable(volume.origin, volume.at, method):
            total += volume.per_year * facts.cost_of_one(volume.origin, volume.at, method)
    return total


def _bills(facts: Facts, actions: Iterable[Action]) -> dict[frozenset[str], float]:
    """What is to be paid, by the funds that may pay it."""
    bills: defaultdict[frozenset[str], float] = defaultdict(float)
    for action in actions:
        funds = {_CAPITAL}
        if action.kind in ("buy", "repair"):
            funds.update(facts.models[action.item].programmes)
        bills[frozenset(funds)] += action.quantity * (price_of_one(facts, action) or 0.0)
    return bills


def _capital(facts: Facts, actions: list[Action]) -> Iterator[Violation]:
    limits = facts.case.limits
    short = shortage({**limits.earmarks, _CAPITAL: limits.capital}, _bills(facts, actions))
    if short is not None and exceeds(short.asked, short.available):
        text = f"Actions that only {_funds(short)} may pay cost {figure(short.asked)}; that is "
        yield Violation("capital", text + f"more than the {figure(short.available)} there.")


def _payment(facts: Facts, actions: list[Action], stated: Money) -> Iterator[Violation]:
    limits, bills = facts.case.limits, _bills(facts, actions)
    for code, amount in {_CAPITAL: stated.capital, **stated.earmarks}.items():
        limit = limits.earmarks.get(code, 0.0) if code else limits.capital
        if exceeds(amount, limit):
            text = f"{figure(amount)} is drawn from {_fund(code)}, which has {figure(limit)}."
            yield Violation("payment", text)
    drawn, cost = stated.capital + sum(stated.earmarks.values()), sum(bills.values())
    if differs(drawn, cost):
        text = f"{figure(drawn)} is drawn from all funds, the actions cost {figure(cost)}."
        yield Violation("payment", text)
        return
    short = shortage({**stated.earmarks, _CAPITAL: stated.capital}, bills)
    if short is not None and exceeds(short.asked, short.available):
        text = f"Actions that only {_funds(short)} may pay cost {figure(short.asked)}, "
        yield Violation("payment", text + f"{figure(short.available)} is drawn from there.")


def _recurrent(
    facts: Facts, actions: list[Action], volumes: list[Volume], stated: Money
) -> Iterator[Violation]:
    cost, limit = running_cost(facts, actions, volumes), facts.case.limits.recurrent
    if limit is not None and exceeds(cost, limit):
        text = f"The service costs {figure(cost)} a year, the limit is {figure(limit)}."
        yield Violation("recurrent", text)
    if differs(stated.recurrent, cost):
        text = f"The running cost is stated as {figure(stated.recurrent)} a year, "
        yield Violation("recurrent-stated", text + f"it is {figure(cost)}.")


def _funds(short: Shortage[str]) -> str:
    return " and ".join(_fund(code) for code in sorted(short.sources))


def _fund(code: str) -> str:
    return f"the earmark {code}" if code else "the capital"
