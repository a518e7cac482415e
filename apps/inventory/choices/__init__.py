"""What fields of the register may hold, in the words that people read."""

from apps.inventory.choices.holdings import (
    REPAIRABLE,
    WORKING,
    Basis,
    Condition,
    Presence,
    Reason,
)
from apps.inventory.choices.verifications import (
    ATTRIBUTES_OF,
    GREATEST_FORCE,
    LARGEST_RADIUS,
    LOWEST_FORCE,
    MEASURES_OF,
    OF_RESULTS,
    Ending,
    Operator,
    Outcome,
    SpinSetting,
    Standing,
    VerificationKind,
)

__all__ = [
    "ATTRIBUTES_OF",
    "GREATEST_FORCE",
    "LARGEST_RADIUS",
    "LOWEST_FORCE",
    "MEASURES_OF",
    "OF_RESULTS",
    "REPAIRABLE",
    "WORKING",
    "Basis",
    "Condition",
    "Ending",
    "Operator",
    "Outcome",
    "Presence",
    "Reason",
    "SpinSetting",
    "Standing",
    "VerificationKind",
]
