from django.contrib.sessions.models import Session
from django.db import transaction

from apps.accounts.models import OpenSession, User
from apps.audit.services import record

LONGEST_BROWSER = 200


def note_session(*, user: User, session_key: str, browser: str, by: User) -> None:
    """Write down that ``user`` signed in with this browser; forget sessions that are over."""
    with transaction.atomic():
        live = Session.objects.values("session_key")
        OpenSession.objects.filter(user=user).exclude(session_key__in=live).delete()
        OpenSession.objects.update_or_create(
            session_key=session_key,
            defaults={"user": user, "browser": browser[:LONGEST_BROWSER]},
        )
        record("session.begun", by=by, obj=user)


@transaction.atomic
def end_session(*, user: User, session: OpenSession, by: User) -> None:
    """Sign ``user`` out of one browser."""
    Session.objects.filter(pk=session.session_key).delete()
    session.delete()
    record("session.ended", by=by, obj=user)


@transaction.atomic
def end_other_sessions(*, user: User, kept: str | None, by: User) -> int:
    """Sign ``user`` out everywhere but in the session ``kept``; returns of how many browsers."""
    others = user.open_sessions.exclude(session_key=kept)
    keys = list(others.values_list("session_key", flat=True))
    Session.objects.filter(pk__in=keys).delete()
    others.delete()
    record("session.others-ended", by=by, obj=user, after={"browsers": len(keys)})
    return len(keys)
