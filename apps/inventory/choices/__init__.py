"""What fields of the register may hold, in the words that people read."""

from apps.facilities.choices import Basis
from apps.inventory.choices.holdings import (
    REPAIRABLE,
    WORKING,
    Arrival,
    Condition,
    Known,
    Presence,
    Reason,
)
from apps.inventory.choices.services import ALTERS, Cause, DueKind, ServiceKind
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
    "ALTERS",
    "ATTRIBUTES_OF",
    "GREATEST_FORCE",
    "LARGEST_RADIUS",
    "LOWEST_FORCE",
    "MEASURES_OF",
    "OF_RESULTS",
    "REPAIRABLE",
    "WORKING",
    "Arrival",
    "Basis",
    "Cause",
    "Condition",
    "DueKind",
    "Ending",
    "Known",
    "Operator",
    "Outcome",
    "Presence",
    "Reason",
    "ServiceKind",
    "SpinSetting",
    "Standing",
    "VerificationKind",
]
