"""The files of a catalogue folder, in the order in which they build on each other."""

from collections.abc import Mapping
from typing import Any

from apps.catalogue import models
from apps.imports.adapters import checks, evidence
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import SOURCED, Reference, Sheet


def _attribute_of_need(
    texts: tuple[str, ...], row: Mapping[str, Any], known: Known
) -> tuple[str, ...]:
    """An attribute is called by its code alone, since the need says of which class it is."""
    return (known.fact(models.Need, row["need"], "device_class__code"), *texts)


SHEETS = (
    Sheet("sources.csv", models.Source, ("code", "title", "kind", "year", "note")),
    Sheet("programmes.csv", models.Programme, ("code", "name")),
    Sheet(
        "skills.csv",
        models.Skill,
        ("code", "name", "training_cost", "trainer_days", "supervision_cost",
         "lapses_after_months", *SOURCED),
        optional=frozenset({"lapses_after_months"}),
    ),
    Sheet("infrastructure.csv", models.Infrastructure, ("code", "name", *SOURCED)),
    Sheet(
        "infrastructure_costs.csv",
        models.InfrastructureCost,
        ("infrastructure", "level", "cost"),
        key=("infrastructure", "level"),
        owner="infrastructure",
    ),
    Sheet("device_classes.csv", models.DeviceClass, ("code", "name")),
    Sheet(
        "attributes.csv",
        models.Attribute,
        ("device_class", "code", "name", "value_kind", "ucum", "comparator", "radius",
         "observation"),
        key=("device_class", "code"),
        check=checks.check_attribute,
    ),
    Sheet(
        "device_models.csv",
        models.DeviceModel,
        ("code", "name", "evidence", "approval", "is_low_cost", "price", "annual_cost",
         "repair_cost", "hours_per_year", "programmes", "cautions", *SOURCED),
    ),
    Sheet(
        "served_classes.csv",
        models.ServedClass,
        ("device_model", "device_class"),
        key=("device_model", "device_class"),
        owner="device_model",
    ),
    Sheet(
        "specifications.csv",
        models.Specification,
        ("device_model", "device_class", "attribute", "value", *SOURCED),
        key=("device_model", "attribute"),
        references={"attribute": Reference(("device_class", "attribute"))},
        check=checks.check_specification,
        owner="device_model",
    ),
    Sheet(
        "tests.csv",
        models.LabTest,
        ("code", "name", "programme", "weight", "max_transport_hours", "specimen",
         "lowest_level", *SOURCED),
    ),
    Sheet(
        "methods.csv",
        models.Method,
        ("code", "name", "test", "clinical_grade", "sensitivity", "sensitivity_source",
         "sensitivity_kind", "specificity", "specificity_source", "specificity_kind", "cadre",
         "batch_size", "minutes_per_batch", "minutes_per_sample", "consumable_cost",
         "biosafety", "cautions", "skills", "infrastructure", *SOURCED),
        check=checks.check_method,
    ),
    Sheet(
        "needs.csv",
        models.Need,
        ("method", "position", "device_class", "minutes_per_run", "samples_per_run", *SOURCED),
        key=("method", "position"),
        owner="method",
    ),
    Sheet(
        "requirements.csv",
        models.Requirement,
        ("method", "position", "attribute", "comparator", "value", *SOURCED),
        key=("need", "attribute"),
        references={
            "need": Reference(("method", "position")),
            "attribute": Reference(("attribute",), ("need",), _attribute_of_need),
        },
        check=checks.check_requirement,
        owner="need",
    ),
    *evidence.SHEETS,
)  # fmt: skip
