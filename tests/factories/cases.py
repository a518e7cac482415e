"""Small valid planning cases, built from what a test states and nothing else.

Every function fills in what was left out with the emptiest valid value (no needs, no
demand, costs of 0), so a number on which a result depends always stands in the test.
``case`` reads its own JSON, so a dangling code is refused as in a file.
"""

import json
from collections.abc import Sequence
from typing import Any, TypeVar

from pydantic import BaseModel

from planner.engine.asking import Bundle, Fixed, MinimumSet, Move
from planner.engine.case import (
    Area,
    Case,
    DeviceModel,
    Infrastructure,
    LabTest,
    Limits,
    Link,
    Method,
    Need,
    Programme,
    Serves,
    Site,
    Skill,
    Stock,
)

Model = TypeVar("Model", bound=BaseModel)


def area(code: str = "district", **given: Any) -> Area:
    return _built(Area, {"code": code, "name": code, "floor": 0}, given)


def programme(code: str = "general", **given: Any) -> Programme:
    return _built(Programme, {"code": code, "name": code}, given)


def skill(code: str, **given: Any) -> Skill:
    values = {"code": code, "name": code, "training_cost": 0, "trainer_days": 0}
    return _built(Skill, {**values, "supervision_cost": 0}, given)


def infrastructure(code: str, **given: Any) -> Infrastructure:
    return _built(Infrastructure, {"code": code, "name": code, "cost": {}}, given)


def serves(device_class: str, **specs: Any) -> Serves:
    """``serves("centrifuge", rcf_g=12_000)``."""
    return _built(Serves, {"class": device_class, "specs": specs}, {})


def device_model(code: str, *roles: Serves, **given: Any) -> DeviceModel:
    """``device_model("spinner", serves("centrifuge", rcf_g=12_000), price=500)``."""
    values = {"code": code, "name": code, "evidence": "A", "serves": roles, "programmes": []}
    values |= {"max_units": None, "uptime": 1, "repair_success": 1}
    costs = {"price": 0, "annual_cost": 0, "hours_per_year": 2000, "repair_cost": 0}
    return _built(DeviceModel, {**values, **costs}, given)


def lab_test(code: str, **given: Any) -> LabTest:
    values = {"code": code, "name": code, "programme": "general", "weight": 1}
    return _built(LabTest, {**values, "max_transport_hours": None}, given)


def need(device_class: str, *, hours: float = 0, **require: Any) -> Need:
    """``need("centrifuge", rcf_g={"min": 2000}, hours=0.1)``."""
    return _built(Need, {"class": device_class, "require": require, "hours": hours}, {})


def method(code: str, test: str, *needs: Need, **given: Any) -> Method:
    """``method("smear", "malaria", need("microscope"), skills=["microscopy"])``."""
    values = {"code": code, "test": test, "needs": needs, "skills": [], "infrastructure": []}
    figures = {"sensitivity": 1, "staff_hours": 0, "consumable_cost": 0}
    return _built(Method, {**values, **figures}, given)


def site(code: str = "hill", **given: Any) -> Site:
    values = {"code": code, "name": code, "area": "district", "level": 1, "population": 0}
    place = {"latitude": 0, "longitude": 0, "staff_hours": 0}
    held = {"skills": [], "infrastructure": [], "demand": {}}
    return _built(Site, {**values, **place, **held}, given)


def stock(site: str, model: str, *, working: int = 0, broken: int = 0) -> Stock:
    values = {"site": site, "model": model, "working": working, "broken": broken}
    return _built(Stock, values, {})


def link(origin: str, to: str, *, hours: float = 0, cost: float = 0) -> Link:
    return _built(Link, {"from": origin, "to": to, "hours": hours, "cost": cost}, {})


def limits(**given: Any) -> Limits:
    """No money, no limit on running cost or trainer days, one unit per site and model."""
    values = {"capital": 0, "earmarks": {}, "recurrent": None, "trainer_days": None}
    return _built(
        Limits, {**values, "max_units": 1, "supervised_share": 1, "models_per_class": {}}, given
    )


def fixed(
    site: str, kind: str, item: str, *, at_least: int = 0, at_most: int | None = None
) -> Fixed:
    values = {"site": site, "kind": kind, "item": item}
    return _built(Fixed, {**values, "at_least": at_least, "at_most": at_most}, {})


def bundle(model: str, **given: Any) -> Bundle:
    values = {"code": model, "name": f"All for {model}", "model": model, "cost": 0}
    return _built(Bundle, {**values, "skills": [], "infrastructure": []}, given)


def move(origin: str, to: str, model: str, *, units: int = 1, cost: float = 0) -> Move:
    values = {"from": origin, "to": to, "model": model, "units": units, "cost": cost}
    return _built(Move, values, {})


def minimum_set(
    code: str, tests: Sequence[str], *, share: float = 1, levels: Sequence[int] = (1,)
) -> MinimumSet:
    values = {"code": code, "name": code, "levels": levels, "tests": tests, "share": share}
    return _built(MinimumSet, values, {})


def target(
    share: float, *, area: str | None = None, programme: str | None = None
) -> dict[str, Any]:
    return {"area": area, "programme": programme, "share": share}


def least_money(*targets: dict[str, Any]) -> dict[str, Any]:
    return {"kind": "least_money", "targets": list(targets)}


def worst_first(over: str = "areas") -> dict[str, Any]:
    return {"kind": "worst_first", "over": over}


def case(**given: Any) -> Case:
    """A case of one area, one programme and one site, unless the lists are given."""
    lists: dict[str, Sequence[BaseModel]] = {
        "areas": [area()],
        "programmes": [programme()],
        "sites": [site()],
    }
    empty = dict.fromkeys(
        (
            "skills",
            "infrastructure",
            "device_models",
            "tests",
            "methods",
            "stock",
            "links",
            "fixed",
            "bundles",
            "moves",
            "minimum_sets",
        ),
        (),
    )
    heading = {"format": "benchward-case", "version": 2, "title": "a test", "currency": "USD"}
    heading["aim"] = {"kind": "most"}
    values = {**heading, "minimum_evidence": "D", "limits": limits(), **lists, **empty, **given}
    return Case.read(json.dumps(values, default=_plain))


def _built(model: type[Model], values: dict[str, Any], given: dict[str, Any]) -> Model:
    return model.model_validate_json(json.dumps({**values, **given}, default=_plain))


def _plain(part: BaseModel) -> Any:
    return part.model_dump(mode="json", by_alias=True)
