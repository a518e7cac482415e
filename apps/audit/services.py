from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import Model

from apps.audit.models import Entry


def record(
    action: str,
    *,
    by: Model | None,
    obj: Model | str,
    before: Mapping[str, Any] | None = None,
    after: Mapping[str, Any] | None = None,
    why: str = "",
) -> Entry:
    """Write down that ``by`` did ``action`` to ``obj``, inside the transaction of the change.

    ``action`` is ``noun.past-participle``, as in ``plan.drafted``; ``by`` is ``None`` for the
    command line and for the service itself. ``obj`` is a row, known by its code where it has
    one, or the name of something that is not a row, such as a folder of files.

    Raises ``RuntimeError`` outside a transaction: the change could be kept and the entry lost.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(
            f"record({action!r}) was called outside a transaction. "
            "Wrap the change and this call in transaction.atomic()."
        )
    object_type, object_key = _named(obj)
    return Entry.objects.create(
        by=by,
        action=action,
        object_type=object_type,
        object_key=object_key,
        before=before,
        after=after,
        why=why,
    )


def _named(obj: Model | str) -> tuple[str, str]:
    if isinstance(obj, str):
        return "name", obj
    return obj._meta.label_lower, str(getattr(obj, "code", None) or obj.pk)
