"""Actions that a case fixes and that cannot be taken, or not so often."""

from collections.abc import Iterator

from planner.engine.allocation.instance import Instance
from planner.engine.case import Case
from planner.engine.errors import InputError


def refuse_contradictions(case: Case, instance: Instance) -> None:
    """Raise ``InputError`` with a line for each fixed action that its site cannot take."""
    if problems := list(_impossible(case, instance)):
        raise InputError("planning case", problems)


def _impossible(case: Case, instance: Instance) -> Iterator[str]:
    places = instance.places
    site_of = {code: index for index, code in enumerate(places.sites)}
    action_of = {action: index for index, action in enumerate(instance.catalogue.actions)}
    for number, fixed in enumerate(case.fixed):
        most = int(places.most[site_of[fixed.site], action_of[fixed.kind, fixed.item]])
        if fixed.at_least > most:
            yield (
                f"fixed[{number}].at_least: {fixed.kind} {fixed.item} at {fixed.site} is possible "
                f"{most} times at most, found {fixed.at_least}"
            )
    for device_class, most in case.limits.models_per_class.items():
        members = {
            model.code
            for model in case.device_models
            if any(role.device_class == device_class for role in model.serves)
        }
        asked = {f.item for f in case.fixed if f.kind == "buy" and f.at_least} & members
        if len(asked) > most:
            yield (
                f"limits.models_per_class.{device_class}: {most} is fewer than the models "
                f"that must be bought ({', '.join(sorted(asked))})"
            )
