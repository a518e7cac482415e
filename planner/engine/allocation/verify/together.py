"""What actions must keep together: bundles, moves of units that are there, few models a class."""

from collections import defaultdict
from collections.abc import Iterator

from planner.engine.allocation.verify.actions import named
from planner.engine.allocation.verify.facts import Facts, Standing
from planner.engine.allocation.verify.violation import Violation
from planner.engine.case import Action


def violations(facts: Facts, after: Standing, actions: list[Action]) -> Iterator[Violation]:
    """What is wrong with ``actions``, whose codes are known, taken together."""
    yield from _bundles(facts, after, actions)
    yield from _moves(facts, actions)
    yield from _models_per_class(facts, actions)


def _bundles(facts: Facts, after: Standing, actions: list[Action]) -> Iterator[Violation]:
    for action in actions:
        bundle = facts.bundles.get(action.item) if action.kind == "buy" else None
        if bundle is None:
            continue
        lacking = {*bundle.skills} - after.skills[action.site]
        lacking |= {*bundle.infrastructure} - after.infrastructure[action.site]
        if lacking:
            text = f"{named(action)}: the site lacks {', '.join(sorted(lacking))} of the bundle "
            yield Violation("bundle", text + f"{bundle.code}.")


def _moves(facts: Facts, actions: list[Action]) -> Iterator[Violation]:
    taken: defaultdict[tuple[str, str], int] = defaultdict(int)
    for action in actions:
        if action.kind != "move":
            if action.moved_from is not None:
                text = f"{named(action)}: only what is moved comes from another site."
                yield Violation("move", text)
            continue
        origin = action.moved_from or ""
        taken[origin, action.item] += action.quantity
        offered = facts.moves.get((origin, action.site, action.item))
        if offered is None:
            yield Violation("move", f"{named(action)}: the case does not offer that.")
        elif action.quantity > offered.units:
            text = f"{named(action)}: {action.quantity} is more than the {offered.units} offered."
            yield Violation("move", text)
    for (site, model), units in taken.items():
        entry = facts.stock.get((site, model))
        working = entry.working if entry else 0
        if units > working:
            text = f"{units} units of {model} are moved away from {site}, {working} work there."
            yield Violation("move", text)


def _models_per_class(facts: Facts, actions: list[Action]) -> Iterator[Violation]:
    bought = {action.item for action in actions if action.kind == "buy"}
    for device_class, most in facts.case.limits.models_per_class.items():
        models = {
            code
            for code in bought
            if any(role.device_class == device_class for role in facts.models[code].serves)
        }
        if len(models) > most:
            text = f"{len(models)} models of class {device_class} are bought "
            text += f"({', '.join(sorted(models))}), the limit is {most}."
            yield Violation("models-per-class", text)
