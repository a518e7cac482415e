"""Verifications of devices: recorded, ended by a change of the device, withdrawn; never edited."""

from apps.inventory.services.ending import (
    end_outdated,
    end_verifications,
    withdraw_verification,
)
from apps.inventory.services.recording import record_verification

__all__ = ["end_outdated", "end_verifications", "record_verification", "withdraw_verification"]
