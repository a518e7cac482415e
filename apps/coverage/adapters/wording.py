"""The methods and the cheapest fix of a cell in words.

Sites that are alike in everything that matters to a test are described once for it: a
district has thousands of cells, but few ways to lack something.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

import numpy as np

from apps.coverage.adapters.unknowns import SecondLook, inside
from planner.engine.coverage import Fix, MethodCell, Missing
from planner.engine.coverage.cells import methods_of
from planner.engine.matching import Verdict
from planner.engine.tables import positions

NOT_KNOWN = "not known"


class Wording:
    """``detail`` of every cell, with what is not known said to be so and not to be lacking."""

    def __init__(self, look: SecondLook, method_names: Mapping[str, str]) -> None:
        self._coverage = look.known
        self._situation = situation = look.known.situation
        self._case = case = situation.case
        self._methods = method_names
        models = {model.code: model.name for model in case.device_models}
        self._items = {
            "buy": models,
            "repair": models,
            "train": {skill.code: skill.name for skill in case.skills},
            "provide": {item.code: item.name for item in case.infrastructure},
        }
        self._unknown = {
            "device": self._flags(look.unknowns.units, case.device_models),
            "skill": self._flags(look.unknowns.skills, case.skills),
            "infrastructure": self._flags(look.unknowns.infrastructure, case.infrastructure),
        }
        self._said: dict[tuple[Any, ...], dict[str, Any]] = {}

    def detail(self, site: int, test: int) -> dict[str, Any]:
        """``methods`` and ``fix`` of ``Finding.detail`` for the cell at these positions.

        Each ``reason`` can be read by itself.
        """
        key = self._key(site, test)
        if key not in self._said:
            cell = self._coverage.cell(self._case.sites[site].code, self._case.tests[test].code)
            of_test = methods_of(self._situation, test)
            self._said[key] = {
                "methods": [
                    self._method(each, site, method)
                    for each, method in zip(cell.methods, of_test, strict=True)
                ],
                "fix": self._fix(cell.fix),
            }
        return self._said[key]

    def _flags(self, pairs: frozenset[tuple[str, str]], entries: Any) -> np.ndarray:
        """(sites, entries): nobody knows whether the site has it."""
        flags = np.zeros((len(self._case.sites), len(entries)), dtype=bool)
        site, entry = self._situation.site_position, positions(entries)
        for site_code, code in pairs:
            flags[site[site_code], entry[code]] = True
        return flags

    def _key(self, site: int, test: int) -> tuple[Any, ...]:
        """All that the words about the test depend on at the site."""
        tables, unknown = self._situation.tables, self._unknown
        models, skills, items = self._relevant[test]
        facts = (
            (tables.working, models),
            (tables.broken, models),
            (unknown["device"], models),
            (tables.skills, skills),
            (unknown["skill"], skills),
            (tables.infrastructure, items),
            (unknown["infrastructure"], items),
        )
        level, state = self._case.sites[site].level, self._coverage.state[site, test]
        return (test, level, state, *(flags[site, of].tobytes() for flags, of in facts))

    @cached_property
    def _relevant(self) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
        """For each test the positions of models, skills and items that its methods could use."""
        tables, found = self._situation.tables, []
        for test in range(len(self._case.tests)):
            methods = methods_of(self._situation, test)
            classes = {need.device_class for m in methods for need in self._case.methods[m].needs}
            serving = [
                any(role.device_class in classes for role in model.serves)
                for model in self._case.device_models
            ]
            skills = tables.method_skills[methods].any(axis=0)
            items = tables.method_infrastructure[methods].any(axis=0)
            found.append((np.flatnonzero(serving), np.flatnonzero(skills), np.flatnonzero(items)))
        return found

    def _method(self, each: MethodCell, site: int, method: int) -> dict[str, Any]:
        return {
            "code": each.method,
            "name": self._methods[each.method],
            "runs": each.verdict is Verdict.MET,
            "missing": list(self._missing(each.missing, site, method)),
        }

    def _missing(
        self, lacks: tuple[Missing, ...], site: int, method: int
    ) -> Iterator[dict[str, str]]:
        named = {
            "skill": {skill.name: at for at, skill in enumerate(self._case.skills)},
            "infrastructure": {item.name: at for at, item in enumerate(self._case.infrastructure)},
        }
        needs = self._unmet_classes(site, method)
        for lack in lacks:
            if lack.kind == "device":
                reason = self._device_reason(lack, site, next(needs))
            else:
                is_unknown = self._unknown[lack.kind][site, named[lack.kind][lack.what]]
                reason = f"{inside(lack.what)}: {NOT_KNOWN if is_unknown else lack.reason}"
            yield {"kind": lack.kind, "what": lack.what, "reason": reason}

    def _unmet_classes(self, site: int, method: int) -> Iterator[str]:
        """The device classes of the unmet needs, in the order in which they are missing."""
        suitability, capable = self._situation.suitability, self._situation.capability
        for need in dict.fromkeys(suitability.method_needs[method]):
            if capable.needs[site, need] == Verdict.NOT_MET:
                yield suitability.needs[need].device_class

    def _device_reason(self, lack: Missing, site: int, device_class: str) -> str:
        """The engine knows nothing of units whose condition is not known, so they are added."""
        models = self._case.device_models
        of_class = [
            f"{models[at].name}: condition {NOT_KNOWN}"
            for at in np.flatnonzero(self._unknown["device"][site])
            if any(role.device_class == device_class for role in models[at].serves)
        ]
        if of_class and lack.reason == f"no {device_class} on site":
            return "; ".join(of_class)
        return "; ".join([lack.reason, *of_class])

    def _fix(self, fix: Fix | None) -> list[dict[str, Any]]:
        return [
            {
                "kind": action.kind,
                "item": action.item,
                "name": self._items[action.kind][action.item],
                "cost": action.cost,
            }
            for action in (fix.actions if fix else ())
        ]
