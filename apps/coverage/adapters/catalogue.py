"""The catalogue as lists of a planning case, in order of code; a dozen queries in all."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from apps.catalogue import models
from apps.catalogue.choices import ClinicalGrade
from planner.engine import case
from planner.engine.conditions import Condition, parse_condition, parse_spec


def programmes() -> tuple[case.Programme, ...]:
    rows = models.Programme.objects.order_by("code").values("code", "name")
    return tuple(case.Programme.model_validate(row) for row in rows)


def skills() -> tuple[case.Skill, ...]:
    rows = models.Skill.objects.order_by("code").values(
        "code", "name", "training_cost", "trainer_days", "supervision_cost"
    )
    return tuple(case.Skill.model_validate(_plain(row)) for row in rows)


def infrastructure() -> tuple[case.Infrastructure, ...]:
    costs: defaultdict[str, dict[str, float]] = defaultdict(dict)
    for code, level, cost in models.InfrastructureCost.objects.values_list(
        "infrastructure__code", "level", "cost"
    ):
        costs[code][str(level)] = float(cost)
    rows = models.Infrastructure.objects.order_by("code").values("code", "name")
    return tuple(
        case.Infrastructure.model_validate({**row, "cost": costs[row["code"]]}) for row in rows
    )


def device_models() -> tuple[case.DeviceModel, ...]:
    roles = _roles()
    programmes = _grouped(
        models.DeviceModel.programmes.through.objects.values_list(
            "devicemodel__code", "programme__code"
        ).order_by("programme__code")
    )
    rows = models.DeviceModel.objects.order_by("code").values(
        "code", "name", "evidence", "price", "annual_cost", "hours_per_year", "repair_cost"
    )
    return tuple(
        case.DeviceModel.model_validate(
            {**_plain(row), "serves": roles[row["code"]], "programmes": programmes[row["code"]]}
        )
        for row in rows
    )


def tests() -> tuple[case.LabTest, ...]:
    rows = models.LabTest.objects.order_by("code").values_list(
        "code", "name", "programme__code", "weight", "max_transport_hours"
    )
    keys = ("code", "name", "programme", "weight", "max_transport_hours")
    return tuple(case.LabTest.model_validate(dict(zip(keys, row, strict=True))) for row in rows)


def methods() -> tuple[case.Method, ...]:
    """All but the investigational, whose answers count nowhere."""
    needs, through = needs_by_method(), models.Method
    skills = _grouped(
        through.skills.through.objects.values_list("method__code", "skill__code").order_by(
            "skill__code"
        )
    )
    infrastructure = _grouped(
        through.infrastructure.through.objects.values_list(
            "method__code", "infrastructure__code"
        ).order_by("infrastructure__code")
    )
    rows = models.Method.objects.exclude(clinical_grade=ClinicalGrade.INVESTIGATIONAL)
    return tuple(
        case.Method.model_validate(
            {
                "code": row.code,
                "test": row.test.code,
                "sensitivity": row.sensitivity,
                "staff_hours": row.staff_hours,
                "consumable_cost": float(row.consumable_cost),
                "needs": needs[row.code],
                "skills": skills[row.code],
                "infrastructure": infrastructure[row.code],
            }
        )
        for row in rows.select_related("test").order_by("code")
    )


def _roles() -> defaultdict[str, tuple[case.Serves, ...]]:
    """Model to the classes it serves, each with the specifications it states for it."""
    specs: defaultdict[tuple[str, str], dict[str, Any]] = defaultdict(dict)
    for model, device_class in models.ServedClass.objects.values_list(
        "device_model__code", "device_class__code"
    ):
        specs[model, device_class] = {}
    stated = models.Specification.objects.values_list(
        "device_model__code", "attribute__device_class__code", "attribute__code", "value"
    )
    for model, device_class, attribute, value in stated:
        specs[model, device_class][attribute] = parse_spec(value)
    return _grouped(
        (model, case.Serves.model_validate({"class": device_class, "specs": specs[key]}))
        for key in sorted(specs)
        for model, device_class in [key]
    )


def needs_by_method() -> defaultdict[str, tuple[case.Need, ...]]:
    """Every method, the investigational too, to its needs in their order with what they require."""
    require: defaultdict[int, dict[str, Condition]] = defaultdict(dict)
    for need, attribute, comparator, value in models.Requirement.objects.order_by(
        "attribute__code"
    ).values_list("need", "attribute__code", "comparator", "value"):
        require[need][attribute] = parse_condition({comparator: value})
    rows = models.Need.objects.select_related("method", "device_class")
    return _grouped(
        (
            need.method.code,
            case.Need.model_validate(
                {
                    "class": need.device_class.code,
                    "hours": need.hours,
                    "require": require[need.pk],
                }
            ),
        )
        for need in rows.order_by("method__code", "position")
    )


def _grouped(pairs: Iterable[tuple[str, Any]]) -> defaultdict[str, tuple[Any, ...]]:
    grouped: defaultdict[str, tuple[Any, ...]] = defaultdict(tuple)
    for key, value in pairs:
        grouped[key] += (value,)
    return grouped


def _plain(row: dict[str, Any]) -> dict[str, Any]:
    """Money as the engine counts it."""
    return {
        name: float(value) if isinstance(value, Decimal) else value for name, value in row.items()
    }
