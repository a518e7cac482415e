"""What facilities hold, and what was measured on it."""

from apps.inventory.models.holdings import EquipmentItem, Holding, InfrastructureHeld, SkillHeld
from apps.inventory.models.verifications import Verification

__all__ = ["EquipmentItem", "Holding", "InfrastructureHeld", "SkillHeld", "Verification"]
