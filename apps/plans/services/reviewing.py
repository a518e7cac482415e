from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from apps.accounts.choices import Role
from apps.accounts.models import User
from apps.accounts.rules import require
from apps.audit.services import record
from apps.plans.models import Plan, ReviewNote


@transaction.atomic
def add_note(*, plan: Plan, text: str, by: User, reply_to: ReviewNote | None = None) -> ReviewNote:
    """Ask or remark something on a plan, or reply to it; a reply to a reply joins its note.

    Raises ``PermissionDenied`` where ``by`` may not, ``ValidationError`` for an empty text or
    a note that is closed.
    """
    require(by, "plan.review")
    if not text.strip():
        raise ValidationError({"text": "Write the note first."})
    first = _first(reply_to) if reply_to else None
    if first and (first.plan_id != plan.pk or first.closed_at is not None):
        raise ValidationError({"text": "This note is closed. Write another one."})
    note = ReviewNote.objects.create(plan=plan, text=text.strip(), by=by, reply_to=first)
    record("note.added", by=by, obj=plan, after={"note": note.pk, "text": note.text})
    return note


@transaction.atomic
def close_note(*, note: ReviewNote, by: User) -> ReviewNote:
    """Say that a note is dealt with: who wrote it, or an auditor or administrator.

    Raises ``PermissionDenied`` for anybody else.
    """
    require(by, "plan.review")
    held = ReviewNote.objects.select_for_update(of=("self",)).get(pk=note.pk)
    if by != held.by and not (by.is_superuser or by.role == Role.AUDITOR):
        raise PermissionDenied("A note is closed by who wrote it, or by an auditor.")
    if held.closed_at is None:
        held.closed_by, held.closed_at = by, timezone.now()
        held.save(update_fields=["closed_by", "closed_at"])
        record("note.closed", by=by, obj=held.plan, after={"note": held.pk})
    return held


def _first(note: ReviewNote) -> ReviewNote:
    """The note that ``note`` replies to, or itself, as it stands now."""
    first = note.reply_to_id or note.pk
    return ReviewNote.objects.select_for_update(of=("self",)).get(pk=first)
