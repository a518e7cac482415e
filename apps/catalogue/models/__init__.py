"""What is planned with: sources, tests, methods, devices, and the evidence behind them."""

from apps.catalogue.models.devices import (
    FORCE,
    Attribute,
    DeviceClass,
    DeviceModel,
    PlanningRange,
    ServedClass,
    Specification,
)
from apps.catalogue.models.limits import VerificationLimit
from apps.catalogue.models.methods import LabTest, Method, Need, Requirement
from apps.catalogue.models.procedures import (
    Consumable,
    MethodConsumable,
    MethodStep,
    QualityControl,
    SpinProcedure,
)
from apps.catalogue.models.resources import Infrastructure, InfrastructureCost, Programme, Skill
from apps.catalogue.models.sources import (
    AT_LEAST_ONE,
    NOT_NEGATIVE,
    SHARE,
    Named,
    Source,
    Sourced,
    money,
)
from apps.catalogue.models.studies import Study
from apps.catalogue.models.versions import CatalogueVersion

__all__ = [
    "AT_LEAST_ONE",
    "FORCE",
    "NOT_NEGATIVE",
    "SHARE",
    "Attribute",
    "CatalogueVersion",
    "Consumable",
    "DeviceClass",
    "DeviceModel",
    "Infrastructure",
    "InfrastructureCost",
    "LabTest",
    "Method",
    "MethodConsumable",
    "MethodStep",
    "Named",
    "Need",
    "PlanningRange",
    "Programme",
    "QualityControl",
    "Requirement",
    "ServedClass",
    "Skill",
    "Source",
    "Sourced",
    "Specification",
    "SpinProcedure",
    "Study",
    "VerificationLimit",
    "money",
]
