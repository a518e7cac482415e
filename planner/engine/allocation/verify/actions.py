"""Is each action possible at its site, in its quantity, at its cost?"""

from collections import Counter
from collections.abc import Iterable, Iterator

from planner.engine.allocation.verify.facts import Facts
from planner.engine.allocation.verify.violation import Violation, differs, figure
from planner.engine.case import Action

_NAMES = {
    "buy": "device model",
    "repair": "device model",
    "train": "skill",
    "provide": "infrastructure item",
    "move": "device model",
}


def unknown_codes(facts: Facts, actions: Iterable[Action]) -> Iterator[tuple[Action, Violation]]:
    """The actions that name a site or item which the case does not have."""
    for action in actions:
        items = {
            "buy": facts.models,
            "repair": facts.models,
            "train": facts.skills,
            "provide": facts.infrastructure,
            "move": facts.models,
        }[action.kind]
        if action.site not in facts.sites:
            text = f"{named(action)}: there is no site with code {action.site!r}."
        elif action.moved_from is not None and action.moved_from not in facts.sites:
            text = f"{named(action)}: there is no site with code {action.moved_from!r}."
        elif action.item not in items:
            kind = _NAMES[action.kind]
            text = f"{named(action)}: there is no {kind} with code {action.item!r}."
        else:
            continue
        yield action, Violation("unknown-code", text)


def violations(facts: Facts, actions: list[Action]) -> Iterator[Violation]:
    """What is wrong with actions whose codes are known."""
    times = Counter((a.site, a.kind, a.item, a.moved_from) for a in actions)
    for (site, kind, item, _), count in times.items():
        if count > 1:
            yield Violation("duplicate", f"{kind} {item} at {site} is listed {count} times.")
    for action in actions:
        if action.kind != "move":
            yield from _quantity(facts, action)
            yield from _possible(facts, action)
        price = price_of_one(facts, action)
        if price is not None and differs(action.cost, action.quantity * price):
            yield Violation(
                "cost",
                f"{named(action)}: the cost is stated as {figure(action.cost)}, "
                f"{action.quantity} × {figure(price)} = {figure(action.quantity * price)}.",
            )


def fixed_violations(facts: Facts, actions: list[Action]) -> Iterator[Violation]:
    """Fixed actions that are taken too seldom or too often."""
    taken = Counter[tuple[str, str, str]]()
    for action in actions:
        taken[action.site, action.kind, action.item] += action.quantity
    for fixed in facts.case.fixed:
        count = taken[fixed.site, fixed.kind, fixed.item]
        most = count if fixed.at_most is None else fixed.at_most
        if not fixed.at_least <= count <= most:
            wanted = f"at least {fixed.at_least}"
            wanted += "" if fixed.at_most is None else f" and at most {fixed.at_most}"
            text = f"{fixed.kind} {fixed.item} at {fixed.site}: taken {count} times, the case "
            yield Violation("fixed", text + f"says {wanted}.")


def price_of_one(facts: Facts, action: Action) -> float | None:
    """The price in the case; ``None`` for what the case does not offer: infrastructure that the
    level cannot be given, a move that is not listed."""
    if action.kind == "buy":
        bundle = facts.bundles.get(action.item)
        return facts.models[action.item].price + (bundle.cost if bundle else 0.0)
    if action.kind == "move":
        move = facts.moves.get((action.moved_from or "", action.site, action.item))
        return move.cost if move else None
    if action.kind == "repair":
        return facts.models[action.item].repair_cost
    if action.kind == "train":
        return facts.skills[action.item].training_cost
    level = str(facts.sites[action.site].level)
    return facts.infrastructure[action.item].cost.get(level)


def named(action: Action) -> str:
    """The action as a violation names it: ``buy x at y``."""
    if action.kind == "move":
        return f"move {action.item} from {action.moved_from} to {action.site}"
    return f"{action.kind} {action.item} at {action.site}"


def _quantity(facts: Facts, action: Action) -> Iterator[Violation]:
    if action.kind == "buy":
        most, why = facts.case.limits.max_units, "the limit of units bought per site and model"
        if (own := facts.models[action.item].max_units) is not None:
            most, why = own, "the model's own limit of units bought per site"
    elif action.kind == "repair":
        entry = facts.stock.get((action.site, action.item))
        most, why = (entry.broken if entry else 0), "the broken units there"
    else:
        most, why = 1, "once per site"
    if action.quantity > most:
        text = f"{named(action)}: {action.quantity} is more than {most}, {why}."
        yield Violation("quantity", text)


def _possible(facts: Facts, action: Action) -> Iterator[Violation]:
    site = facts.sites[action.site]
    if action.kind in ("buy", "repair"):
        model = facts.models[action.item]
        if not facts.graded(model):
            yield Violation(
                "evidence",
                f"{named(action)}: the model is graded {model.evidence}, the case accepts "
                f"{facts.case.minimum_evidence} and better.",
            )
        return
    there = site.skills if action.kind == "train" else site.infrastructure
    if action.item in there:
        yield Violation("already-there", f"{named(action)}: the site has it.")
    elif price_of_one(facts, action) is None:
        yield Violation("not-providable", f"{named(action)}: it has no cost at level {site.level}.")
