"""Who may say something of a device: in a role that may, and answering for where it stands."""

from typing import Any

from django.core.exceptions import PermissionDenied

from apps.accounts.rules import require
from apps.inventory.models import EquipmentItem


def may_verify(item: EquipmentItem, by: Any) -> None:
    """Raises ``PermissionDenied`` unless ``by`` may verify ``item``; ``None`` may."""
    require(by, "verification.record")
    if by is not None and not EquipmentItem.objects.visible_to(by).filter(pk=item.pk).exists():
        raise PermissionDenied(f"{by} does not answer for the facility that {item.code} is at.")
