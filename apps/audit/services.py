import json
from collections.abc import Mapping
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import transaction
from django.db.models import Model
from django.utils import timezone

from apps.audit.models import ChainEnd, Entry


def record(
    action: str,
    *,
    by: Model | None,
    obj: Model | str,
    before: Mapping[str, Any] | None = None,
    after: Mapping[str, Any] | None = None,
    why: str = "",
    place: str | None = None,
) -> Entry:
    """Write down that ``by`` did ``action`` to ``obj``, inside the transaction of the change.

    ``action`` is ``noun.past-participle``, as in ``plan.drafted``; ``by`` is ``None`` for the
    command line and for the service itself. ``obj`` is a row, known by its code where it has
    one, or the name of something that is not a row, such as a folder of files. ``place`` is
    the path of the area that the object belongs to, found out where it is a row. Who writes
    at the same time waits until this transaction ends, so that the entries form one chain.

    Raises ``RuntimeError`` outside a transaction: the change could be kept and the entry lost.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(
            f"record({action!r}) was called outside a transaction. "
            "Wrap the change and this call in transaction.atomic()."
        )
    object_type, object_key = _named(obj)
    end, _ = ChainEnd.objects.select_for_update().get_or_create(pk=1)
    entry = Entry(
        at=timezone.now(),
        by=by,
        action=action,
        object_type=object_type,
        object_key=object_key,
        place=_place(obj) if place is None else place,
        before=_as_stored(before),
        after=_as_stored(after),
        why=why,
    )
    entry.digest = entry.digest_after(end.digest)
    entry.save(force_insert=True)
    ChainEnd.objects.filter(pk=end.pk).update(length=end.length + 1, digest=entry.digest)
    return entry


def _named(obj: Model | str) -> tuple[str, str]:
    if isinstance(obj, str):
        return "name", obj
    return obj._meta.label_lower, str(getattr(obj, "code", None) or obj.pk)


def _place(obj: Model | str) -> str:
    """Path of the area that ``obj`` is, lies in, or is about; blank where it has none."""
    for step in ("path", "area", "facility", "origin", "item", "plan"):
        found = getattr(obj, step, None)
        if step == "path" and isinstance(found, str):
            return found
        if isinstance(found, Model):
            return _place(found)
    return ""


def _as_stored(values: Mapping[str, Any] | None) -> Any:
    """What the database will give back, so that the digest covers that."""
    return None if values is None else json.loads(json.dumps(values, cls=DjangoJSONEncoder))
