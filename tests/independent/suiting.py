"""Which device models suit a need, read straight from the text of the case format."""

from planner.engine.case import Case, DeviceModel, Need
from planner.engine.conditions import Condition, SpecValue


def suiting_models(case: Case, need: Need) -> list[DeviceModel]:
    """The models graded well enough, with one entry of the need's class that meets it all."""
    return [
        model
        for model in case.device_models
        if is_graded(case, model)
        and any(
            entry.device_class == need.device_class
            and all(
                attribute in entry.specs and is_met(condition, entry.specs[attribute])
                for attribute, condition in need.require.items()
            )
            for entry in model.serves
        )
    ]


def is_graded(case: Case, model: DeviceModel) -> bool:
    return model.evidence <= case.minimum_evidence  # "A" < "B" < "C" < "D"; A is best


def is_met(condition: Condition, spec: SpecValue) -> bool:
    """Whether a known specification meets the condition; ends of a range count as inside."""
    wanted = condition.value
    match condition.comparator:
        case "min":
            return _is_number(spec) and spec >= wanted
        case "max":
            return _is_number(spec) and spec <= wanted
        case "between":
            return _is_number(spec) and wanted[0] <= spec <= wanted[1]
        case "covers":
            return _is_range(spec) and spec[0] <= wanted[0] and wanted[1] <= spec[1]
        case "is":
            return _same(spec, wanted)
        case "has":
            held = spec if isinstance(spec, tuple) else [spec]  # one value is a list of one
            return all(any(_same(value, one) for value in held) for one in wanted)
    raise ValueError(f"unknown comparator {condition.comparator!r}")


def _is_number(value) -> bool:
    return isinstance(value, float) and not isinstance(value, bool)


def _is_range(value) -> bool:
    return isinstance(value, tuple) and len(value) == 2 and all(_is_number(end) for end in value)


def _same(left, right) -> bool:
    """Equal and of one kind: ``True`` is not the number 1."""
    return type(left) is type(right) and left == right
