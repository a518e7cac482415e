"""Changes of facilities, and what all changes of the register have in common."""

from apps.facilities.services.changing import Kept, Said, change_row
from apps.facilities.services.merging import Conflict, ConflictError
from apps.facilities.services.sites import SITE_FACTS, change_site

__all__ = [
    "SITE_FACTS",
    "Conflict",
    "ConflictError",
    "Kept",
    "Said",
    "change_row",
    "change_site",
]
