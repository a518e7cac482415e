"""A planning case of version 1 as one of version 2 that means the same: plain JSON values."""

import copy
from typing import Any

NEUTRAL: dict[str, dict[str, Any]] = {
    "device_models": {"max_units": None, "uptime": 1, "repair_success": 1},
}
"""The keys that entries of a list have in version 2 only, with the values that mean nothing."""

NEUTRAL_LIMITS: dict[str, Any] = {"supervised_share": 1, "models_per_class": {}}
NEUTRAL_LISTS: dict[str, Any] = {
    "fixed": [],
    "bundles": [],
    "moves": [],
    "minimum_sets": [],
    "aim": {"kind": "most"},
}
"""The same of ``limits``, and of the case itself."""


def as_version_2(document: dict[str, Any]) -> dict[str, Any]:
    """A copy of ``document`` in version 2; what it has of version 2 already stays."""
    newer = copy.deepcopy(NEUTRAL_LISTS) | copy.deepcopy(document) | {"version": 2}
    newer["limits"] = NEUTRAL_LIMITS | newer["limits"]
    for name, keys in NEUTRAL.items():
        newer[name] = [{**keys, **entry} for entry in newer[name]]
    return newer
