"""A result in a few lines for a terminal."""

from collections.abc import Iterator

from planner.engine.case import Action, Case, Result

ACTIONS_SHOWN = 20
HEADINGS = {
    "optimal": "A best plan, proven to the gap asked for.",
    "feasible": "The best plan found; the gap asked for was not proven in the time given.",
    "infeasible": "No plan keeps the limits and floors of this case.",
}


def summary(case: Case, result: Result) -> str:
    """What ``result`` achieves and costs, and its actions, with the codes of ``case``."""
    return "\n".join([HEADINGS[result.status], *_lines(case, result)])


def _lines(case: Case, result: Result) -> Iterator[str]:
    if result.status == "infeasible":
        yield f"today      {result.objective_before:,.1f} weighted correct tests a year"
        yield from (f"reason     {reason.text}" for reason in result.reasons)
        return
    yield (
        f"objective  {result.objective:,.1f} weighted correct tests a year; "
        f"today {result.objective_before:,.1f}"
    )
    yield f"bound      {result.bound:,.1f}, a gap of {result.gap:.4%}"
    yield from _stages(result)
    money, limits, currency = result.money, case.limits, case.currency
    yield f"capital    {_of(money.capital, limits.capital, currency)}"
    for programme, amount in money.earmarks.items():
        yield f"earmark    {_of(amount, limits.earmarks.get(programme), currency)}, {programme}"
    yield f"recurrent  {_of(money.recurrent, limits.recurrent, f'{currency} a year')}"
    cost = sum(action.cost for action in result.actions)
    yield f"actions    {len(result.actions)}, which cost {cost:,.2f} {currency}"
    yield from _table(result.actions)


def _stages(result: Result) -> Iterator[str]:
    """What was sought before most tests, and which tests of minimum sets are not reached."""
    for stage in result.stages[:-1]:
        named = f" ({', '.join(stage.groups)})" if stage.groups else ""
        side = "at least" if stage.of == "money" else "at most"
        yield (f"{stage.of:12} {stage.reached:,.4g}, {side} {stage.bound:,.4g} proven{named}")
    for pair in result.minimum_sets:
        if not pair.reached:
            yield f"not reached  {pair.test} at {pair.site} ({pair.share:.1%} done): {pair.why}"


def _of(amount: float, limit: float | None, unit: str) -> str:
    if limit is None:
        return f"{amount:,.2f} {unit}, no limit"
    return f"{amount:,.2f} of {limit:,.2f} {unit}"


def _table(actions: tuple[Action, ...]) -> Iterator[str]:
    shown = actions[:ACTIONS_SHOWN]
    site_width = max((len(action.site) for action in shown), default=0)
    item_width = max((len(action.item) for action in shown), default=0)
    for action in shown:
        what = f"{action.kind:7}  {action.quantity:3d}  {action.item:{item_width}}"
        source = f"  from {action.moved_from}" if action.moved_from else ""
        yield f"  {action.site:{site_width}}  {what}  {action.cost:14,.2f}{source}"
    if len(actions) > len(shown):
        yield f"  ... and {len(actions) - len(shown)} more, all of them in the result"
