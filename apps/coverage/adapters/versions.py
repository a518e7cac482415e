"""A planning case under another version of the catalogue, and what that changes at the sites."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import rfc8785
from pydantic import TypeAdapter

from apps.catalogue.models import DeviceModel
from apps.coverage.adapters import catalogue
from planner.engine import case
from planner.engine.coverage import STATES, Coverage, State, assess

LISTS = {
    "programmes": (case.Programme, catalogue.programmes),
    "skills": (case.Skill, catalogue.skills),
    "infrastructure": (case.Infrastructure, catalogue.infrastructure),
    "device_models": (case.DeviceModel, catalogue.device_models),
    "tests": (case.LabTest, catalogue.tests),
    "methods": (case.Method, catalogue.methods),
}


@dataclass(frozen=True)
class CellChange:
    """A test at a site whose state another catalogue changes; ``None``: the test is not in it."""

    site: str
    test: str
    before: State | None
    after: State | None


def planning_lists() -> dict[str, Any]:
    """The catalogue's lists of a planning case as plain JSON, as it stands."""
    return {
        name: [entry.model_dump(mode="json", by_alias=True) for entry in read()]
        for name, (_, read) in LISTS.items()
    }


def under(frozen: case.Case, lists: Mapping[str, Any]) -> case.Case:
    """``frozen`` with the catalogue of ``lists``.

    What the register holds of things that this catalogue does not know is left out: it would
    serve nothing. So are earmarks of programmes that it does not have. Items that count by
    their own verification stay.
    """
    entries = {
        name: TypeAdapter(tuple[kind, ...]).validate_json(rfc8785.dumps(lists[name]))
        for name, (kind, _) in LISTS.items()
    }
    entries["device_models"] += _verified_items(frozen)
    known = {name: {entry.code for entry in listed} for name, listed in entries.items()}
    sites = tuple(
        site.model_copy(
            update={
                "skills": tuple(code for code in site.skills if code in known["skills"]),
                "infrastructure": tuple(
                    code for code in site.infrastructure if code in known["infrastructure"]
                ),
                "demand": {
                    test: asked for test, asked in site.demand.items() if test in known["tests"]
                },
            }
        )
        for site in frozen.sites
    )
    stock = tuple(entry for entry in frozen.stock if entry.model in known["device_models"])
    earmarks = {
        code: money for code, money in frozen.limits.earmarks.items() if code in known["programmes"]
    }
    limits = frozen.limits.model_copy(update={"earmarks": earmarks})
    return frozen.model_copy(update={**entries, "sites": sites, "stock": stock, "limits": limits})


def cell_changes(before: case.Case, after: case.Case) -> tuple[CellChange, ...]:
    """Every site and test whose state differs between two cases of the same sites."""
    return tuple(_changes(assess(before), assess(after)))


def _verified_items(frozen: case.Case) -> tuple[case.DeviceModel, ...]:
    """Models of the case that are single items of the register, not of the catalogue."""
    of_catalogue = frozenset(DeviceModel.objects.values_list("code", flat=True))
    return tuple(model for model in frozen.device_models if model.code not in of_catalogue)


def _changes(old: Coverage, new: Coverage) -> Iterator[CellChange]:
    old_tests, new_tests = old.situation.test_position, new.situation.test_position
    sites = old.situation.case.sites
    for test in sorted(old_tests.keys() | new_tests.keys()):
        states = [
            found.state[:, tests[test]] if test in tests else np.full(len(sites), -1)
            for found, tests in ((old, old_tests), (new, new_tests))
        ]
        for at in np.flatnonzero(states[0] != states[1]):
            before, after = (STATES[each[at]] if each[at] >= 0 else None for each in states)
            yield CellChange(sites[at].code, test, before, after)
