"""What facilities hold, what happened to it, and what was measured on it."""

from apps.inventory.models.holdings import (
    ConsumableHeld,
    Holding,
    InfrastructureHeld,
    SkillHeld,
    StaffHeld,
)
from apps.inventory.models.items import EquipmentFile, EquipmentItem
from apps.inventory.models.logs import Move, ServiceEntry
from apps.inventory.models.verifications import Verification

__all__ = [
    "ConsumableHeld",
    "EquipmentFile",
    "EquipmentItem",
    "Holding",
    "InfrastructureHeld",
    "Move",
    "ServiceEntry",
    "SkillHeld",
    "StaffHeld",
    "Verification",
]
