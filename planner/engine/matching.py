"""Device specifications against the requirements of methods: met, not met or unknown, and why.

A specification that is missing, or of a kind that the condition cannot be held against, is
unknown: it neither meets the condition nor fails it, and comes with what would settle it.
Rules: "Conditions" in ``planner/docs/case-format.md``.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.engine.attributes import attribute_in_words, range_in_words, value_in_words
from planner.engine.case import GRADES, Case, DeviceModel, Method, Need, Serves
from planner.engine.conditions import Comparator, Condition, Scalar, SpecValue

Bools: TypeAlias = NDArray[np.bool_]
Codes: TypeAlias = NDArray[np.int8]


class Verdict(IntEnum):
    """In order, so that all of several conditions is ``min`` and the best of several ``max``."""

    NOT_MET = 0
    UNKNOWN = 1
    MET = 2


@dataclass(frozen=True, slots=True)
class Finding:
    """One condition held against one specification.

    ``reason`` has both in words; ``settle`` says, where the verdict is unknown, what to
    measure or find, and is empty otherwise.
    """

    attribute: str
    verdict: Verdict
    reason: str
    settle: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """A need held against a device model: the verdict of the model's best suited role."""

    verdict: Verdict
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Suitability:
    """Which models suit which needs, in the order of the case.

    ``needs`` are the distinct needs of all methods: same class and same conditions, hours
    aside. ``verdicts`` is needs × models in codes of ``Verdict``. ``accepted`` (models) is
    true where the evidence grade reaches the minimum of the case. ``method_needs`` gives,
    for each method and position for position, the indices of its needs in ``needs``.
    """

    needs: tuple[Need, ...]
    verdicts: Codes
    accepted: Bools
    method_needs: tuple[tuple[int, ...], ...]

    @cached_property
    def suits(self) -> Bools:
        """Needs × models: every condition is met, by a model with accepted evidence."""
        return np.logical_and(self.verdicts == Verdict.MET, self.accepted)

    @cached_property
    def may_suit(self) -> Bools:
        """Needs × models with accepted evidence: nothing fails, something is unknown."""
        return np.logical_and(self.verdicts == Verdict.UNKNOWN, self.accepted)


def check(attribute: str, condition: Condition, spec: SpecValue | None) -> Finding:
    """Hold ``condition`` against the specification ``spec`` (``None``: not stated)."""
    verdict = Verdict(int(_Specs((spec,)).judged_by(condition)[0]))
    reason = f"{attribute}: needs {condition_in_words(attribute, condition)}, "
    if spec is None:
        return Finding(
            attribute,
            verdict,
            reason + "is not known",
            f"measure or find {attribute_in_words(attribute)}",
        )
    shown = value_in_words(attribute, spec)
    if verdict is Verdict.UNKNOWN:
        expected = _expected(condition)
        return Finding(
            attribute,
            verdict,
            f"{reason}is given as {shown}, expected {expected}",
            f"state {attribute_in_words(attribute)} as {expected}",
        )
    if condition.comparator == "covers" and isinstance(spec, tuple):
        shown = range_in_words(attribute, float(spec[0]), float(spec[1]))
    return Finding(attribute, verdict, f"{reason}{_VERBS[condition.comparator]} {shown}")


def match(need: Need, model: DeviceModel) -> Match:
    """Hold ``need`` against the roles of ``model`` that have its class; the best one counts.

    Of equally good roles the one with the fewest conditions short of met counts, then the
    one the case lists first.
    """
    found = [
        _match_role(need, role) for role in model.serves if role.device_class == need.device_class
    ]
    if not found:
        absent = Finding("class", Verdict.NOT_MET, f"serves no {need.device_class}")
        return Match(Verdict.NOT_MET, (absent,))
    best = max(found, key=lambda role: (role.verdict, -len(_short_of_met(role.findings))))
    named = (
        replace(finding, settle=f"{finding.settle} of {model.name}") if finding.settle else finding
        for finding in best.findings
    )
    return Match(best.verdict, tuple(named))


def suitability(case: Case) -> Suitability:
    """Hold every need of the case against every device model."""
    needs, method_needs = _distinct_needs(case.methods)
    verdicts = np.zeros((len(needs), len(case.device_models)), dtype=np.int8)
    roles = _roles_by_class(case.device_models)
    for row, need in zip(verdicts, needs, strict=True):
        if need.device_class in roles:
            roles[need.device_class].judge(need.require, into=row)
    lowest_allowed = GRADES.index(case.minimum_evidence)
    accepted = np.array(
        [GRADES.index(model.evidence) <= lowest_allowed for model in case.device_models], dtype=bool
    )
    return Suitability(needs, verdicts, accepted, method_needs)


def condition_in_words(attribute: str, condition: Condition) -> str:
    """``at least 2 000 g``, ``10 000–15 000 g``, ``570, 880 nm``."""
    value = condition.value
    if condition.comparator in ("between", "covers") and isinstance(value, tuple):
        return range_in_words(attribute, float(value[0]), float(value[1]))
    bound = {"min": "at least ", "max": "at most "}.get(condition.comparator, "")
    return bound + value_in_words(attribute, value)


def need_in_words(need: Need) -> str:
    """``centrifuge with rcf_g at least 2 000 g, tubes at least 4``."""
    conditions = ", ".join(
        f"{attribute} {condition_in_words(attribute, condition)}"
        for attribute, condition in need.require.items()
    )
    return f"{need.device_class} with {conditions}" if conditions else need.device_class


_VERBS: Mapping[Comparator, str] = {
    "min": "reaches",
    "max": "has",
    "between": "reaches",
    "covers": "covers",
    "is": "is",
    "has": "has",
}
_KINDS = {bool: "yes or no", str: "text"}


def _kind(value: Scalar) -> str:
    return _KINDS.get(type(value), "a number")


def _typed(value: Scalar) -> tuple[str, Scalar]:
    """``value`` with its kind, since Python holds ``True`` and ``1`` to be equal."""
    return _kind(value), value


def _expected(condition: Condition) -> str:
    if condition.comparator == "covers":
        return "a range of two numbers, the lower first"
    if isinstance(condition.value, tuple) and condition.comparator == "has":
        kinds = {_kind(item) for item in condition.value}
        return "a list of " + " and ".join(sorted(kind.removeprefix("a ") for kind in kinds))
    return _kind(condition.value) if not isinstance(condition.value, tuple) else "a number"


class _Specs:
    """The specifications of one attribute over several roles; ``None`` where not stated."""

    def __init__(self, values: Iterable[SpecValue | None]) -> None:
        self.values = tuple(values)

    @cached_property
    def numbers(self) -> NDArray[np.float64]:
        """The specifications that are numbers; not-a-number elsewhere."""
        return np.array([_number(value) for value in self.values])

    @cached_property
    def ranges(self) -> NDArray[np.float64]:
        """Two rows, low and high, of those that are ranges; not-a-number elsewhere."""
        return np.array([_range(value) for value in self.values]).reshape(-1, 2).T

    def judged_by(self, condition: Condition) -> Codes:
        """One code of ``Verdict`` for each specification."""
        wanted: Any = condition.value
        match condition.comparator:
            case "min":
                return _coded(self.numbers >= wanted, self.numbers)
            case "max":
                return _coded(self.numbers <= wanted, self.numbers)
            case "between":
                inside = (self.numbers >= wanted[0]) & (self.numbers <= wanted[1])
                return _coded(inside, self.numbers)
            case "covers":
                low, high = self.ranges
                return _coded((low <= wanted[0]) & (high >= wanted[1]), low)
            case "is":
                return np.array([_is(wanted, value) for value in self.values], dtype=np.int8)
            case "has":
                return np.array([_has(wanted, value) for value in self.values], dtype=np.int8)


class _Roles:
    """Everything that models offer as one device class."""

    def __init__(self) -> None:
        self._models: list[int] = []
        self._specs: list[Mapping[str, SpecValue]] = []
        self._by_attribute: dict[str, _Specs] = {}
        self._judged: dict[tuple[str, Any], Codes] = {}

    def add(self, model: int, role: Serves) -> None:
        self._models.append(model)
        self._specs.append(role.specs)

    def judge(self, require: Mapping[str, Condition], *, into: Codes) -> None:
        """Raise ``into`` (models) to the verdict of each model's best role."""
        verdicts = np.full(len(self._models), Verdict.MET, dtype=np.int8)
        for attribute, condition in require.items():
            np.minimum(verdicts, self._condition(attribute, condition), out=verdicts)
        np.maximum.at(into, self._models, verdicts)

    def _condition(self, attribute: str, condition: Condition) -> Codes:
        key = attribute, _condition_key(condition)
        if key not in self._judged:
            if attribute not in self._by_attribute:
                self._by_attribute[attribute] = _Specs(role.get(attribute) for role in self._specs)
            self._judged[key] = self._by_attribute[attribute].judged_by(condition)
        return self._judged[key]


def _roles_by_class(models: Iterable[DeviceModel]) -> dict[str, _Roles]:
    roles: dict[str, _Roles] = {}
    for index, model in enumerate(models):
        for role in model.serves:
            roles.setdefault(role.device_class, _Roles()).add(index, role)
    return roles


def _distinct_needs(
    methods: Iterable[Method],
) -> tuple[tuple[Need, ...], tuple[tuple[int, ...], ...]]:
    index: dict[Any, int] = {}
    needs: list[Need] = []
    of_methods = []
    for method in methods:
        of_method = []
        for need in method.needs:
            key = _need_key(need)
            if key not in index:
                index[key] = len(needs)
                needs.append(need)
            of_method.append(index[key])
        of_methods.append(tuple(of_method))
    return tuple(needs), tuple(of_methods)


def _need_key(need: Need) -> Any:
    conditions = ((name, _condition_key(wanted)) for name, wanted in need.require.items())
    return need.device_class, frozenset(conditions)


def _condition_key(condition: Condition) -> Any:
    value = condition.value
    if not isinstance(value, tuple):
        return condition.comparator, _typed(value)
    items = [_typed(item) for item in value]
    # The order of a list of things to have means nothing; that of a range does.
    return condition.comparator, frozenset(items) if condition.comparator == "has" else tuple(items)


def _match_role(need: Need, role: Serves) -> Match:
    findings = tuple(
        check(attribute, condition, role.specs.get(attribute))
        for attribute, condition in need.require.items()
    )
    return Match(min((found.verdict for found in findings), default=Verdict.MET), findings)


def _short_of_met(findings: tuple[Finding, ...]) -> list[Finding]:
    return [finding for finding in findings if finding.verdict is not Verdict.MET]


def _number(value: SpecValue | None) -> float:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if is_number else np.nan  # type: ignore[arg-type]


def _range(value: SpecValue | None) -> tuple[float, float]:
    if isinstance(value, tuple) and len(value) == 2:
        low, high = _number(value[0]), _number(value[1])
        if low <= high:
            return low, high
    return np.nan, np.nan


def _coded(met: Bools, figures: NDArray[np.float64]) -> Codes:
    verdicts = np.where(met, Verdict.MET, Verdict.NOT_MET)
    return np.where(np.isnan(figures), Verdict.UNKNOWN, verdicts).astype(np.int8)


def _is(wanted: Scalar, value: SpecValue | None) -> Verdict:
    if value is None or isinstance(value, tuple) or _kind(value) != _kind(wanted):
        return Verdict.UNKNOWN
    return Verdict.MET if value == wanted else Verdict.NOT_MET


def _has(wanted: tuple[Scalar, ...], value: SpecValue | None) -> Verdict:
    if value is None:
        return Verdict.UNKNOWN
    held = {_typed(item) for item in (value if isinstance(value, tuple) else (value,))}
    lacking = [_kind(item) for item in wanted if _typed(item) not in held]
    if not lacking:
        return Verdict.MET
    # Colours cannot tell whether a wavelength in nanometres is there.
    comparable = {kind for kind, _ in held}
    return Verdict.NOT_MET if any(kind in comparable for kind in lacking) else Verdict.UNKNOWN
