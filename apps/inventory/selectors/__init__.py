"""What facilities hold, and what can be said of it, as far as somebody may see it."""

from apps.inventory.selectors.contradictions import (
    Contradictions,
    OddDates,
    SameSerial,
    contradictions,
)
from apps.inventory.selectors.due import DueAndStale, ItemDue, Stale, due_and_stale, dues_of
from apps.inventory.selectors.holdings import (
    infrastructure_at,
    item_for,
    items_at,
    items_for,
    moves_of,
    service_log_of,
    skills_at,
    skills_in,
    staff_at,
    staff_in,
    stock_at,
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
    "Contradictions",
    "DueAndStale",
    "ItemDue",
    "ItemStanding",
    "OddDates",
    "SameSerial",
    "Stale",
    "contradictions",
    "current_verification",
    "due_and_stale",
    "dues_of",
    "infrastructure_at",
    "item_for",
    "items_at",
    "items_for",
    "moves_of",
    "service_log_of",
    "skills_at",
    "skills_in",
    "staff_at",
    "staff_in",
    "standings",
    "stock_at",
    "verification_for",
    "verifications_for",
    "verifications_of",
]
