"""A catalogue entry each, valid, with costs and hours of 0 unless given."""

import datetime as dt
from typing import Any

from apps.catalogue.models import (
    Attribute,
    Consumable,
    DeviceClass,
    DeviceModel,
    Infrastructure,
    InfrastructureCost,
    LabTest,
    Method,
    MethodConsumable,
    MethodStep,
    Need,
    PlanningRange,
    Programme,
    QualityControl,
    Requirement,
    ServedClass,
    Skill,
    Source,
    Specification,
    SpinProcedure,
    Study,
    VerificationLimit,
)

DAY = dt.date(2026, 1, 15)


def sourced() -> dict[str, Any]:
    """The source, its kind and its day, as every fact of the catalogue has them."""
    source, _ = Source.objects.get_or_create(code="demo", defaults={"title": "x", "kind": "demo"})
    return {"source": source, "source_kind": "demo", "dated_on": DAY}


def make_programme(code: str = "general") -> Programme:
    return Programme.objects.get_or_create(code=code, defaults={"name": code.title()})[0]


def make_skill(code: str, **values: Any) -> Skill:
    costs = {"training_cost": 0, "trainer_days": 0, "supervision_cost": 0}
    return Skill.objects.create(
        **{"code": code, "name": code.title(), **costs, **sourced(), **values}
    )


def make_infrastructure(code: str, *, cost: dict[int, float] | None = None, **values: Any):
    """``cost``: level of care to what it costs to provide it there."""
    made = Infrastructure.objects.create(
        **{"code": code, "name": code.title(), **sourced(), **values}
    )
    for level, amount in (cost or {}).items():
        InfrastructureCost.objects.create(infrastructure=made, level=level, cost=amount)
    return made


def make_device_class(code: str, **attributes: str) -> DeviceClass:
    """``make_device_class("centrifuge", rcf_g="number")``."""
    made = DeviceClass.objects.create(code=code, name=code.title())
    for name, kind in attributes.items():
        Attribute.objects.create(device_class=made, code=name, name=name, value_kind=kind)
    return made


def make_device_model(
    code: str, *classes: DeviceClass, specs: dict[str, Any] | None = None, **values: Any
) -> DeviceModel:
    """A model that serves ``classes``, each with those of ``specs`` that describe it."""
    costs = {"price": 0, "annual_cost": 0, "repair_cost": 0, "hours_per_year": 2000}
    made = DeviceModel.objects.create(
        **{"code": code, "name": code.title(), "evidence": "A", **costs, **sourced(), **values}
    )
    for device_class in classes:
        ServedClass.objects.create(device_model=made, device_class=device_class)
        for attribute in device_class.attributes.filter(code__in=specs or {}):
            value = specs[attribute.code]
            Specification.objects.create(
                device_model=made, attribute=attribute, value=value, **sourced()
            )
    return made


def make_test(code: str, **values: Any) -> LabTest:
    fixed = {"code": code, "name": code.title(), "weight": 1, "lowest_level": 1, **sourced()}
    return LabTest.objects.create(**{**fixed, "programme": make_programme(), **values})


def make_method(
    code: str,
    test: LabTest,
    *,
    skills: tuple[Skill, ...] = (),
    infrastructure: tuple[Infrastructure, ...] = (),
    staff_hours: float = 0,
    **values: Any,
) -> Method:
    """``staff_hours`` of one test become hands-on minutes of one sample in a batch of one."""
    figures = {
        "sensitivity": 1,
        "minutes_per_sample": staff_hours * 60,
        "consumable_cost": 0,
        "sensitivity_kind": "demo",
    }
    fixed = {"code": code, "name": code.title(), "test": test, **figures, **sourced()}
    made = Method.objects.create(**{**fixed, "sensitivity_source": sourced()["source"], **values})
    made.skills.set(skills)
    made.infrastructure.set(infrastructure)
    return made


def make_need(
    method: Method, device_class: DeviceClass, *, hours: float = 0, **require: tuple[str, Any]
) -> Need:
    """``make_need(method, centrifuge, rcf_g=("min", 2000))``; ``hours``: a run of one sample."""
    made = Need.objects.create(
        method=method,
        position=method.needs.count() + 1,
        device_class=device_class,
        minutes_per_run=hours * 60,
        **sourced(),
    )
    for name, (comparator, value) in require.items():
        Requirement.objects.create(
            need=made,
            attribute=device_class.attributes.get(code=name),
            comparator=comparator,
            value=value,
            **sourced(),
        )
    return made


def make_spin(code: str = "serum", *, rcf_g: tuple[float, float] = (1000, 2000), **values: Any):
    fixed = {"rcf_g_low": rcf_g[0], "rcf_g_high": rcf_g[1], "minutes_low": 10, "minutes_high": 10}
    return SpinProcedure.objects.create(
        **{"code": code, "name": code.title(), **fixed, **sourced(), **values}
    )


def make_step(method: Method, kind: str = "read", **values: Any) -> MethodStep:
    position = method.steps.count() + 1
    fixed = {"position": position, "kind": kind, "text": kind.title(), **sourced()}
    return MethodStep.objects.create(method=method, **{**fixed, **values})


def make_control(method: Method, kind: str = "positive", **values: Any) -> QualityControl:
    fixed = {"every": 1, "interval": "day", "extra_tests_share": 0.05, **sourced()}
    return QualityControl.objects.create(method=method, kind=kind, **{**fixed, **values})


def make_consumable(code: str, **values: Any) -> Consumable:
    fixed = {"name": code.title(), "unit": "piece", "unit_price": 0, "storage": "ambient"}
    return Consumable.objects.create(**{"code": code, **fixed, **sourced(), **values})


def make_use(method: Method, consumable: Consumable, quantity: float = 1) -> MethodConsumable:
    return MethodConsumable.objects.create(
        method=method, consumable=consumable, quantity=quantity, **sourced()
    )


def make_range(device_class: DeviceClass, measure: str = "price", low: float = 0, high: float = 1):
    return PlanningRange.objects.create(
        device_class=device_class, measure=measure, low=low, high=high, **sourced()
    )


def make_limit(code: str, **values: Any) -> VerificationLimit:
    """A limit of the class, method or test that is named in ``values``."""
    fixed = {"rule": "acceptance", "measure": "bias", "low": -1, "high": 1, "ucum": "%"}
    return VerificationLimit.objects.create(**{"code": code, **fixed, **sourced(), **values})


def make_study(code: str, **values: Any) -> Study:
    """A study of the model or the method that is named in ``values``."""
    return Study.objects.create(**{"code": code, "setting": "field", **sourced(), **values})
