"""What facilities hold, and what can be said of it, as far as somebody may see it."""

from apps.inventory.selectors.holdings import (
    infrastructure_at,
    item_for,
    items_at,
    items_for,
    skills_at,
)
from apps.inventory.selectors.verifications import (
    VALID,
    ItemStanding,
    current_verification,
    standings,
    verification_for,
    verifications_for,
    verifications_of,
)

__all__ = [
    "VALID",
    "ItemStanding",
    "current_verification",
    "infrastructure_at",
    "item_for",
    "items_at",
    "items_for",
    "skills_at",
    "standings",
    "verification_for",
    "verifications_for",
    "verifications_of",
]
