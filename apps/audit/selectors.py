from typing import Any

from apps.audit.models import Entry


def latest_entry(action: str, **after: Any) -> Entry | None:
    """The newest entry of ``action`` whose ``after`` holds these values; one query."""
    wanted = {f"after__{key}": value for key, value in after.items()}
    return Entry.objects.filter(action=action, **wanted).first()
