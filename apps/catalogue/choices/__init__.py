"""What fields of the catalogue may hold, in the words that people read."""

from apps.catalogue.choices.devices import (
    Approval,
    Comparator,
    Grade,
    Planned,
    Radius,
    SourceKind,
    ValueKind,
)
from apps.catalogue.choices.evidence import Measure, Setting
from apps.catalogue.choices.methods import (
    Biosafety,
    Cadre,
    ClinicalGrade,
    ControlKind,
    Interval,
    Scaling,
    StepKind,
    Storage,
)

__all__ = [
    "Approval",
    "Biosafety",
    "Cadre",
    "ClinicalGrade",
    "Comparator",
    "ControlKind",
    "Grade",
    "Interval",
    "Measure",
    "Planned",
    "Radius",
    "Scaling",
    "Setting",
    "SourceKind",
    "StepKind",
    "Storage",
    "ValueKind",
]
