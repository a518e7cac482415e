from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError

from apps.facilities.models import Facility
from apps.facilities.services.changing import Kept, Said, change_row

# What a page or the API may change of a site. Its code and area decide who sees it, its place
# and level what is expected of it: these come with a file, or from an administrator.
SITE_FACTS = (
    "population", "testing_hours_per_year", "power_source", "power_hours_per_day",
    "power_available_w", "open_days_per_week", "open_hours_per_day", "water_source",
    "water_hours_per_day", "cold_storage_litres", "cold_holdover_hours", "connectivity",
    "biosafety",
)  # fmt: skip


def change_site(
    *,
    site: Facility,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    by: Any,
) -> Kept:
    """Write down facts of ``site`` (``SITE_FACTS``), and how they became known.

    Raises ``ConflictError``, ``ValidationError`` and ``PermissionDenied`` as ``change_row``.
    """
    if unknown := set(changes) - set(SITE_FACTS):
        raise ValidationError(f"Not a fact that can be changed here: {', '.join(sorted(unknown))}.")
    return change_row(
        row=site,
        facility=site,
        changes=changes,
        seen=seen,
        said=said,
        action="site.changed",
        by=by,
    )
