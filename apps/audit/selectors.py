from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from apps.audit.models import ChainEnd, Entry

AT_ONCE = 2000


@dataclass(frozen=True)
class ChainState:
    """What reading the whole history found.

    ``entries``: how many there are. ``digest``: of the last one; kept outside the database it
    shows later that nothing before it was changed. ``broken_at``: primary key of the first
    entry that does not follow from the one before, or ``None``; ``missing``: entries that the
    end of the chain counts and the history does not hold.
    """

    entries: int
    digest: str
    broken_at: int | None
    missing: int

    @property
    def holds(self) -> bool:
        return self.broken_at is None and self.missing == 0


def entries_for(user: Any, *, people: bool) -> QuerySet[Entry]:
    """What ``user`` may see of the history, the newest first, each with who did it; two queries.

    ``people``: with the entries on accounts and roles.
    """
    return Entry.objects.visible_to(user, people=people).select_related("by")


def latest_entry(action: str, **after: Any) -> Entry | None:
    """The newest entry of ``action`` whose ``after`` holds these values; one query."""
    wanted = {f"after__{key}": value for key, value in after.items()}
    return Entry.objects.filter(action=action, **wanted).first()


def latest_change(object_type: str, object_key: str, field: str) -> Entry | None:
    """The newest entry that gave ``field`` of one object a value, with who did it; one query."""
    entries = Entry.objects.about(object_type, object_key).filter(after__has_key=field)
    return entries.select_related("by").first()


def chain_state() -> ChainState:
    """Work out every digest of the history anew, from the first entry to the last."""
    end = ChainEnd.objects.filter(pk=1).first() or ChainEnd()
    digest, count = "", 0
    for entry in Entry.objects.order_by("pk").iterator(chunk_size=AT_ONCE):
        digest, count = entry.digest_after(digest), count + 1
        if digest != entry.digest:
            return ChainState(count, digest, entry.pk, 0)
    missing = end.length - count
    if not missing and digest != end.digest:
        return ChainState(count, digest, Entry.objects.order_by("pk").last().pk, 0)
    return ChainState(count, digest, None, missing)


def position_of(digest: str) -> int | None:
    """Which entry, counted from 1, has this digest; ``None`` if none has. Two queries."""
    pk = Entry.objects.filter(digest=digest).values_list("pk", flat=True).first()
    return None if pk is None else Entry.objects.filter(pk__lte=pk).count()
