"""What a plan asks beyond the most tests for its money, as it is kept: in the terms of a case.

It differs from ``case.Case`` where a person asks of what the register holds: a unit that may
be moved is an item, and what holds for every site names none.
"""

import json
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from pydantic import ValidationError as ShapeError

from apps.plans.models import Plan
from planner.engine.asking import MOST, ActionKind, Aim, Bundle, MinimumSet
from planner.engine.fields import Amount, Code, Count, Frozen, Share


class Ruled(Frozen):
    """An action that must be taken ``at_least`` so often, or at most so often.

    Without a site it holds for every one, which only a limit upwards can.
    """

    site: Code | None
    kind: ActionKind
    item: Code
    at_least: Count = 0
    at_most: Count | None = None


class IdleUnit(Frozen):
    """An item of the register that works and is not used, and may be moved, at a cost.

    ``to`` is the code of a facility; ``None``: to whichever the plan finds best.
    """

    item: Code
    to: Code | None = None
    cost: Amount = 0.0


class Asked(Frozen):
    """All of it; every key may be left out, and then asks for nothing."""

    aim: Aim = MOST
    minimum_sets: tuple[MinimumSet, ...] = ()
    fixed: tuple[Ruled, ...] = ()
    idle_units: tuple[IdleUnit, ...] = ()
    bundles: tuple[Bundle, ...] = ()
    models_per_class: Mapping[Code, Count] = {}
    supervised_share: Share = 1.0

    def to_json(self) -> dict[str, Any]:
        """What is asked, without what is not; ``read_asked`` reads it again."""
        return self.model_dump(mode="json", by_alias=True, exclude_defaults=True)


def read_asked(values: Mapping[str, Any]) -> Asked:
    """``values`` as plain JSON holds them.

    Raises ``ValidationError`` by key, with every mistake of the shape and its place.
    """
    try:
        return Asked.model_validate_json(json.dumps(values, cls=DjangoJSONEncoder))
    except ShapeError as error:
        mistakes: dict[str, list[str]] = {}
        for each in error.errors():
            first, *rest = [str(part) for part in each["loc"]] or ["asked"]
            place = f"{'.'.join(rest)}: " if rest else ""
            mistakes.setdefault(first, []).append(f"{place}{each['msg']}.")
        raise ValidationError(mistakes) from error


def asked_of(plan: Plan) -> Asked:
    """What ``plan`` was drafted with."""
    return read_asked(plan.asked)
