"""The judge's own reading of "Conditions" in ``planner/docs/case-format.md``.

Plain and one condition at a time: whether a specification certainly meets a condition.
Unknown counts as not meeting it, which is all that a plan may rely on.
"""

from typing import Any

from planner.engine.case import DeviceModel, Need
from planner.engine.conditions import Condition


def meets(model: DeviceModel, need: Need) -> bool:
    """Whether one role of ``model`` has the class of ``need`` and meets all its conditions."""
    return any(
        role.device_class == need.device_class
        and all(
            attribute in role.specs and satisfies(role.specs[attribute], condition)
            for attribute, condition in need.require.items()
        )
        for role in model.serves
    )


def satisfies(spec: Any, condition: Condition) -> bool:
    """Whether a stated specification meets ``condition``; the ends of a range are inside it.

    A specification of the wrong kind (a text against a minimum) does not. A single value
    counts as a list of one for ``has``.
    """
    wanted: Any = condition.value
    match condition.comparator:
        case "min":
            return _is_number(spec) and bool(spec >= wanted)
        case "max":
            return _is_number(spec) and bool(spec <= wanted)
        case "between":
            return _is_number(spec) and bool(wanted[0] <= spec <= wanted[1])
        case "covers":
            return _is_range(spec) and bool(spec[0] <= wanted[0] and wanted[1] <= spec[1])
        case "is":
            return _equal(spec, wanted)
        case "has":
            held = spec if isinstance(spec, tuple) else (spec,)
            return all(any(_equal(value, one) for value in held) for one in wanted)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_range(value: Any) -> bool:
    return isinstance(value, tuple) and len(value) == 2 and all(map(_is_number, value))


def _equal(left: Any, right: Any) -> bool:
    # Python holds True and 1 to be equal; a specification does not.
    same_kind = isinstance(left, bool) == isinstance(right, bool)
    return bool(same_kind and left == right)
