"""Devices and what else facilities hold: written down with who saw it, when, and why.

Verifications are recorded, ended by a change of the device, withdrawn; never edited.
"""

from apps.inventory.services.ending import (
    end_outdated,
    end_verifications,
    withdraw_verification,
)
from apps.inventory.services.holdings import (
    adopt_testing_hours,
    count_skill,
    count_staff,
    count_stock,
    state_infrastructure,
)
from apps.inventory.services.items import FILE, ITEM_FACTS, add_item, change_item, move_item
from apps.inventory.services.logs import log_service
from apps.inventory.services.recording import record_verification

__all__ = [
    "FILE",
    "ITEM_FACTS",
    "add_item",
    "adopt_testing_hours",
    "change_item",
    "count_skill",
    "count_staff",
    "count_stock",
    "end_outdated",
    "end_verifications",
    "log_service",
    "move_item",
    "record_verification",
    "state_infrastructure",
    "withdraw_verification",
]
