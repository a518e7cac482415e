"""All needs of a case against all of its device models, as arrays."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from planner.engine.case import Case, DeviceModel, Method, Need, Serves
from planner.engine.conditions import Condition, SpecValue
from planner.engine.evidence import GRADES
from planner.engine.matching.verdicts import Bools, Codes, Specs, Verdict, condition_key


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
        suits: Bools = (self.verdicts == Verdict.MET) & self.accepted
        return suits

    @cached_property
    def may_suit(self) -> Bools:
        """Needs × models with accepted evidence: nothing fails, something is unknown."""
        may_suit: Bools = (self.verdicts == Verdict.UNKNOWN) & self.accepted
        return may_suit


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


class _Roles:
    """Everything that models offer as one device class."""

    def __init__(self) -> None:
        self._models: list[int] = []
        self._specs: list[Mapping[str, SpecValue]] = []
        self._by_attribute: dict[str, Specs] = {}
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
        key = attribute, condition_key(condition)
        if key not in self._judged:
            if attribute not in self._by_attribute:
                self._by_attribute[attribute] = Specs(role.get(attribute) for role in self._specs)
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
    conditions = ((name, condition_key(wanted)) for name, wanted in need.require.items())
    return need.device_class, frozenset(conditions)
