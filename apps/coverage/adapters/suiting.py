"""Which device models suit which methods of the catalogue, by the engine's own matching.

No district and no case is needed: specifications and requirements are the same everywhere.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Self

from apps.catalogue import models
from apps.catalogue.choices import Planned
from apps.coverage.adapters import catalogue
from planner.engine import case
from planner.engine.matching import Finding, Verdict, match


@dataclass(frozen=True)
class Held:
    """A device model held against one need of a method.

    ``reasons`` say what decided the verdict, ``settle`` what to measure where it is unknown.
    """

    method: str
    method_name: str
    test_name: str
    position: int
    device_class: str
    model: case.DeviceModel
    verdict: Verdict
    reasons: tuple[str, ...]
    settle: tuple[str, ...]


def models_against(method: str) -> tuple[Held, ...]:
    """Every model that serves a class which ``method`` (a code) needs, against that need.

    In the order of the needs, then of the models' codes. A constant number of queries.
    """
    asked = {method: catalogue.needs_by_method()[method]}
    return tuple(_held(asked, catalogue.device_models()))


def methods_against(model: str) -> tuple[Held, ...]:
    """``model`` (a code) against every need, of any method, of a class that it serves.

    In the order of the methods' codes. A constant number of queries.
    """
    asked = [each for each in catalogue.device_models() if each.code == model]
    return tuple(_held(catalogue.needs_by_method(), asked))


def lives_years() -> dict[str, tuple[float, float]]:
    """Device class to the least and greatest usual life of its usual kind, in years; one query.

    A class without a usual kind has the range of all its kinds.
    """
    rows = models.PlanningRange.objects.filter(measure=Planned.LIFE_YEARS).order_by("-variant")
    lives: dict[str, tuple[float, float]] = {}
    for code, variant, low, high in rows.values_list(
        "device_class__code", "variant", "low", "high"
    ):
        least, most = lives.get(code, (low, high)) if variant else (low, high)
        lives[code] = min(least, low), max(most, high)
    return lives


@dataclass(frozen=True)
class _Names:
    """What rows are called, by their codes, and what measurement settles an attribute."""

    attributes: Mapping[tuple[str, str], tuple[str, str]]
    methods: Mapping[str, tuple[str, str]]

    @classmethod
    def read(cls) -> Self:
        attributes = models.Attribute.objects.values_list(
            "device_class__code", "code", "name", "observation"
        )
        methods = models.Method.objects.values_list("code", "name", "test__name")
        return cls(
            {(of_class, code): (name, seen) for of_class, code, name, seen in attributes},
            {code: (name, test) for code, name, test in methods},
        )


def _held(
    methods: Mapping[str, tuple[case.Need, ...]], among: Iterable[case.DeviceModel]
) -> Iterable[Held]:
    names, among = _Names.read(), tuple(among)
    for method in sorted(methods):
        for position, need in enumerate(methods[method], start=1):
            for model in among:
                if any(role.device_class == need.device_class for role in model.serves):
                    yield _one(method, position, need, model, names)


def _one(
    method: str, position: int, need: case.Need, model: case.DeviceModel, names: _Names
) -> Held:
    found = match(need, model)
    decisive = [each for each in found.findings if each.verdict is found.verdict]
    method_name, test_name = names.methods[method]
    return Held(
        method=method,
        method_name=method_name,
        test_name=test_name,
        position=position,
        device_class=need.device_class,
        model=model,
        verdict=found.verdict,
        reasons=tuple(_named(each, need.device_class, names) for each in decisive),
        settle=tuple(_settling(each, need.device_class, names) for each in decisive if each.settle),
    )


def _named(finding: Finding, device_class: str, names: _Names) -> str:
    """The reason with the attribute's name in place of its code."""
    code, _, rest = finding.reason.partition(": ")
    name, _ = names.attributes.get((device_class, code), (code, ""))
    return f"{name}: {rest}" if rest else finding.reason


def _settling(finding: Finding, device_class: str, names: _Names) -> str:
    """The measurement that the catalogue names for the attribute, or what the engine asks."""
    name, observation = names.attributes.get((device_class, finding.attribute), ("", ""))
    return f"{name}: {observation}" if observation else finding.settle
