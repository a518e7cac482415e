"""A planning case of version 1 as one of version 2 that means the same: plain JSON values."""

import copy
from typing import Any

NEUTRAL: dict[str, dict[str, Any]] = {
    "device_models": {"max_units": None},
}
"""The keys that entries of a list have in version 2 only, with the values that mean nothing."""


def as_version_2(document: dict[str, Any]) -> dict[str, Any]:
    """A copy of ``document`` in version 2; what it has of version 2 already stays."""
    newer = copy.deepcopy(document) | {"version": 2}
    for name, keys in NEUTRAL.items():
        newer[name] = [{**keys, **entry} for entry in newer[name]]
    return newer
