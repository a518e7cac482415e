"""The catalogue is the same for everybody, so nothing here asks who is looking."""

from apps.catalogue.selectors.lists import (
    consumables,
    device_classes,
    device_models,
    infrastructure,
    methods,
    programmes,
    skills,
    tests,
)
from apps.catalogue.selectors.pages import (
    DevicePage,
    Evidence,
    MethodPage,
    device_page,
    evidence_of,
    method_page,
    spin_procedures,
    test_methods,
)
from apps.catalogue.selectors.versions import (
    FieldChange,
    RowChange,
    TableChange,
    differences,
    version,
    versions,
)

__all__ = [
    "DevicePage",
    "Evidence",
    "FieldChange",
    "MethodPage",
    "RowChange",
    "TableChange",
    "consumables",
    "device_classes",
    "device_models",
    "device_page",
    "differences",
    "evidence_of",
    "infrastructure",
    "method_page",
    "methods",
    "programmes",
    "skills",
    "spin_procedures",
    "test_methods",
    "tests",
    "version",
    "versions",
]
