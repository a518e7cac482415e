import hashlib
from datetime import UTC
from typing import Any

import rfc8785
from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from apps.audit.querysets import EntryQuerySet

EXACT_UP_TO = 2**53 - 1  # whole numbers that every JSON reader holds exactly (RFC 7493)
EVERYWHERE = "*"
"""The place of what concerns several districts at once: for those to see who see them all."""


class Entry(models.Model):
    """Who changed what, when, from what to what, and why. Rows are only ever added.

    ``digest`` covers the entry and the digest of the one before it, so that an entry that was
    changed, removed or put in between is noticed (``selectors.first_break``).
    """

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    action = models.CharField(max_length=60, help_text="noun.past-participle, as in plan.drafted")
    object_type = models.CharField(max_length=60)
    object_key = models.CharField(max_length=120)
    place = models.CharField(
        max_length=300,
        blank=True,
        help_text="path of the area that the object belongs to; blank: it belongs to none",
    )
    before = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    why = models.CharField(max_length=300, blank=True)
    digest = models.CharField(max_length=64, editable=False)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["object_type", "object_key"], name="audit_entry_object")]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.action} {self.object_key}"

    def digest_after(self, previous: str) -> str:
        """SHA-256 of this entry as canonical JSON (RFC 8785) with the digest of the one before.

        The keys are those below, the time is in UTC to the microsecond, the person is a
        primary key: names change. The first entry of all follows the empty text.
        """
        content = {
            "previous": previous,
            "at": self.at.astimezone(UTC).isoformat(timespec="microseconds"),
            "by": self.by_id,
            "action": self.action,
            "object_type": self.object_type,
            "object_key": self.object_key,
            "place": self.place,
            "before": _interchangeable(self.before),
            "after": _interchangeable(self.after),
            "why": self.why,
        }
        return hashlib.sha256(rfc8785.dumps(content)).hexdigest()


class ChainEnd(models.Model):
    """How many entries there are and the digest of the last: one row, which also makes those
    who write at the same time wait for each other."""

    length = models.PositiveBigIntegerField(default=0)
    digest = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return f"{self.length} entries, {self.digest or 'none'}"


def _interchangeable(value: Any) -> Any:
    """Numbers as JSON readers hold them: a database may give back 1e22 as a whole number."""
    match value:
        case bool():
            return value
        case int() if abs(value) > EXACT_UP_TO:
            return float(value)
        case dict():
            return {key: _interchangeable(part) for key, part in value.items()}
        case list():
            return [_interchangeable(part) for part in value]
    return value
