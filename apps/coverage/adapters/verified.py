"""Devices of which something was measured: each a model of its own, with what was measured.

A verification raises or lowers the item, never its model: what the maker states gives way to
what was found on this one device, and a pass makes up for evidence that the model lacks.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from apps.coverage.adapters.proven import Proven, Subject, proven_items
from apps.facilities.models import Area
from planner.engine import case
from planner.engine.conditions import SpecValue
from planner.engine.evidence import GRADES
from planner.engine.matching import Verdict, check

LONGEST_CODE = 100
ANALYTES = "analytes"


@dataclass(frozen=True)
class Items:
    """Items that are not simply one more unit of their model.

    ``models``: item code to the model that it is by itself. ``unfit``: codes of those that
    only a repair can put right.
    """

    models: Mapping[str, case.DeviceModel]
    unfit: frozenset[str]


def verified_items(
    district: Area,
    on: dt.date,
    models: Iterable[case.DeviceModel],
    methods: Sequence[case.Method],
    minimum_evidence: str,
) -> Items:
    """The verified items of ``district`` as they count on the day ``on``; one query."""
    by_code = {model.code: model for model in models}
    wanted = _Wanted(methods)
    own, unfit = {}, set()
    for code, facts in proven_items(district, on).items():
        model = by_code[facts.model]
        if _is_unfit(facts, model):
            unfit.add(code)
            continue
        made = _own_model(code, facts, model, wanted, minimum_evidence)
        if (made.evidence, made.serves) != (model.evidence, model.serves):
            own[code] = made
    return Items(own, frozenset(unfit))


def own_code(model: str, item: str) -> str:
    """``<model>--<item>``; a code too long for a case loses the end of the model's."""
    return f"{model[: LONGEST_CODE - len(item) - 2]}--{item}"


def _is_unfit(facts: Proven, model: case.DeviceModel) -> bool:
    """A failed analyte that the model does not list cannot be taken from the list."""
    listed: set[object] = set()
    for role in model.serves:
        stated = role.specs.get(ANALYTES, ())
        listed |= set(stated) if isinstance(stated, tuple) else {stated}
    return facts.is_unfit or not facts.failed_analytes <= listed


class _Wanted:
    """What the methods of a case ask of a device class."""

    def __init__(self, methods: Sequence[case.Method]) -> None:
        self._methods = methods
        self._needs: defaultdict[str, list[case.Need]] = defaultdict(list)
        self._of_class: defaultdict[str, set[str]] = defaultdict(set)
        for method in methods:
            for need in method.needs:
                self._needs[need.device_class].append(need)
                self._of_class[need.device_class] |= set(need.require)

    def of_all(self, device_class: str) -> set[str]:
        return self._of_class[device_class]

    def of_accepted(self, device_class: str, accepted: frozenset[Subject]) -> set[str] | None:
        """Attributes that the accepted methods ask of the class; ``None``: they do not use it."""
        needs = [
            need
            for method in self._methods
            if {("method", method.code), ("test", method.test)} & accepted
            for need in method.needs
            if need.device_class == device_class
        ]
        return {name for need in needs for name in need.require} if needs else None

    def would_help(self, device_class: str, attribute: str, value: SpecValue) -> bool:
        """Whether the value meets what some method asks of the attribute."""
        return any(
            check(attribute, need.require[attribute], value).verdict is Verdict.MET
            for need in self._needs[device_class]
            if attribute in need.require
        )


def _own_model(
    code: str, facts: Proven, model: case.DeviceModel, wanted: _Wanted, minimum: str
) -> case.DeviceModel:
    roles = [_as_measured(role, facts, wanted) for role in model.serves]
    evidence = model.evidence
    if GRADES.index(model.evidence) > GRADES.index(minimum):
        covered = [kept for role in roles if (kept := _covered(role, facts, wanted))]
        if covered:
            roles, evidence = covered, minimum
    return model.model_copy(
        update={
            "code": own_code(model.code, code),
            "name": f"{model.name}, item {code}, as measured",
            "evidence": evidence,
            "serves": tuple(roles),
            "price": 0.0,
            "max_units": 0,
        }
    )


def _as_measured(role: case.Serves, facts: Proven, wanted: _Wanted) -> case.Serves:
    """The role with measured values in place of stated ones, where anybody asks for them."""
    known = {*role.specs, *wanted.of_all(role.device_class)}
    measured = {name: value for name, value in facts.measured.items() if name in known}
    specs = {**role.specs, **measured}
    stated = specs.get(ANALYTES)
    if facts.failed_analytes and isinstance(stated, tuple):
        specs[ANALYTES] = tuple(each for each in stated if each not in facts.failed_analytes)
    return role.model_copy(update={"specs": specs})


def _covered(role: case.Serves, facts: Proven, wanted: _Wanted) -> case.Serves | None:
    """The role as far as the item was accepted in it; ``None`` where it was not.

    Accepted for a class: whole. Accepted for methods: with what was measured and what those
    methods ask. Other claims stay only where they stand in the way of a method: none may run
    on a claim that nobody has checked.
    """
    if ("device_class", role.device_class) in facts.accepted:
        return role
    asked = wanted.of_accepted(role.device_class, facts.accepted)
    if asked is None:
        return None
    kept = asked | facts.measured.keys()
    specs = {
        name: value
        for name, value in role.specs.items()
        if name in kept or not wanted.would_help(role.device_class, name, value)
    }
    return role.model_copy(update={"specs": specs})
