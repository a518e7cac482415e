"""Whether what a plan asks can be asked: everything that it names must be there."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.core.exceptions import ValidationError

from apps.catalogue import models as catalogue
from apps.facilities.models import Area, Facility
from apps.inventory.choices import Condition
from apps.inventory.models import EquipmentItem
from apps.plans.adapters import Asked, read_asked
from planner.engine.asking import LeastMoney

Rows = Mapping[str, Any]
ITEMS = {
    "buy": catalogue.DeviceModel,
    "repair": catalogue.DeviceModel,
    "train": catalogue.Skill,
    "provide": catalogue.Infrastructure,
}


def checked(values: Mapping[str, Any], district: Area, areas: Iterable[str]) -> Asked:
    """What ``values`` ask of ``district``, whose ``areas`` (codes) a case will have.

    Raises ``ValidationError`` by key with everything that cannot be asked.
    """
    asked = read_asked(values)
    rules = (_aim(asked, set(areas)), _sets(asked), _fixed(asked, district),
             _idle(asked, district), _bundles(asked), _classes(asked))  # fmt: skip
    mistakes: dict[str, list[str]] = {}
    for found in rules:
        for key, text in found:
            mistakes.setdefault(key, []).append(text)
    if mistakes:
        raise ValidationError(mistakes)
    return asked


def _aim(asked: Asked, areas: set[str]) -> Iterator[tuple[str, str]]:
    if not isinstance(asked.aim, LeastMoney):
        return
    targets = asked.aim.targets
    if not targets:
        yield "aim", "Give at least one target to reach for the least money."
    programmes = {target.programme for target in targets if target.programme}
    yield from _unknown("aim", "area", {t.area for t in targets if t.area} - areas)
    yield from _absent("aim", "programme", catalogue.Programme.objects, programmes)


def _sets(asked: Asked) -> Iterator[tuple[str, str]]:
    key = "minimum_sets"
    for code in _twice(each.code for each in asked.minimum_sets):
        yield key, f"Two minimum sets have the code {code}. Give each its own."
    for each in asked.minimum_sets:
        if not each.tests or not each.levels:
            yield key, f"Choose the tests and the levels of care of “{each.name}”."
    tests = {test for each in asked.minimum_sets for test in each.tests}
    yield from _absent(key, "test", catalogue.LabTest.objects, tests)


def _fixed(asked: Asked, district: Area) -> Iterator[tuple[str, str]]:
    key = "fixed"
    for rule in asked.fixed:
        if rule.site is None and (rule.at_least or rule.at_most is None):
            yield key, f"Say at which site {rule.item} must be done; a ban may be for all."
        if rule.at_most is not None and rule.at_most < rule.at_least:
            least, most = rule.at_least, rule.at_most
            yield key, f"{rule.item} cannot be done at least {least} and at most {most} times."
    for site, kind, item in _twice((rule.site, rule.kind, rule.item) for rule in asked.fixed):
        yield key, f"“{kind} {item}” at {site or 'every site'} is said twice. Say it once."
    yield from _absent(key, "site", _open(district), {r.site for r in asked.fixed if r.site})
    for kind, model in ITEMS.items():
        items = {rule.item for rule in asked.fixed if rule.kind == kind}
        yield from _absent(key, f"item to {kind}", model.objects, items)


def _idle(asked: Asked, district: Area) -> Iterator[tuple[str, str]]:
    key = "idle_units"
    for code in _twice(unit.item for unit in asked.idle_units):
        yield key, f"The unit {code} is named twice. Name it once."
    idle = EquipmentItem.objects.within(district.path).filter(condition=Condition.IDLE)
    places = dict(idle.values_list("code", "facility__code"))
    yield from _unknown(key, "idle unit", {unit.item for unit in asked.idle_units} - set(places))
    for unit in asked.idle_units:
        if unit.to is not None and places.get(unit.item) == unit.to:
            yield key, f"The unit {unit.item} is at {unit.to} already."
    yield from _absent(key, "site", _open(district), {u.to for u in asked.idle_units if u.to})


def _bundles(asked: Asked) -> Iterator[tuple[str, str]]:
    key = "bundles"
    for model in _twice(bundle.model for bundle in asked.bundles):
        yield key, f"The model {model} has two bundles. Put them into one."
    for code in _twice(bundle.code for bundle in asked.bundles):
        yield key, f"Two bundles have the code {code}. Give each its own."
    models = {bundle.model for bundle in asked.bundles}
    skills = {code for bundle in asked.bundles for code in bundle.skills}
    items = {code for bundle in asked.bundles for code in bundle.infrastructure}
    yield from _absent(key, "device model", catalogue.DeviceModel.objects, models)
    yield from _absent(key, "skill", catalogue.Skill.objects, skills)
    yield from _absent(key, "infrastructure", catalogue.Infrastructure.objects, items)


def _classes(asked: Asked) -> Iterator[tuple[str, str]]:
    wanted = set(asked.models_per_class)
    yield from _absent("models_per_class", "class", catalogue.DeviceClass.objects, wanted)


def _open(district: Area) -> Any:
    return Facility.objects.within(district.path).open()


def _absent(key: str, what: str, rows: Any, codes: set[str]) -> Iterator[tuple[str, str]]:
    """What is said of codes that none of ``rows`` has; no query where none is asked for."""
    if codes:
        found = set(rows.filter(code__in=codes).values_list("code", flat=True))
        yield from _unknown(key, what, codes - found)


def _unknown(key: str, what: str, codes: set[str]) -> Iterator[tuple[str, str]]:
    if codes:
        yield key, f"There is no {what} {', '.join(sorted(codes))} to choose here."


def _twice(values: Iterable[Any]) -> list[Any]:
    return [value for value, count in Counter(values).items() if count > 1]
