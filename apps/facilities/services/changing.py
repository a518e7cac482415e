"""A change of the register: merged, kept as an observation, and written into the trail."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils import timezone

from apps.accounts.rules import require
from apps.audit.services import record
from apps.facilities.choices import Basis
from apps.facilities.models import Facility, Observation
from apps.facilities.services.merging import differing, named, plain


@dataclass(frozen=True, kw_only=True)
class Said:
    """How a change became known: the day, the way, by whose role, and why it is written.

    ``entry_key``: chosen by the sender, new for each entry; blank: it cannot come twice.
    """

    observed_on: dt.date
    basis: str = Basis.REPORTED
    observer: str = ""
    why: str = ""
    entry_key: str = ""


@dataclass(frozen=True)
class Kept:
    """What became of an entry. ``changed``: field to before and after. ``replayed``: the same
    entry had come before, and nothing was done now."""

    observation: Observation
    changed: dict[str, tuple[Any, Any]]
    replayed: bool = False


def change_row(
    *,
    row: Model,
    facility: Facility,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    action: str,
    by: Any,
) -> Kept:
    """Make ``row``, which belongs to ``facility``, say ``changes``; a new row is added.

    ``seen`` is what the writer was shown (see ``merging``). An entry that came before is not
    done again. Raises ``ConflictError`` where somebody changed the same, ``ValidationError``
    for facts that cannot be, ``PermissionDenied`` where ``by`` may not, or not there.
    """
    may_change(facility, by)
    if before := _entry(said, by):
        return Kept(before, {}, replayed=True)
    refuse_future(said.observed_on, "observed_on")
    try:
        with transaction.atomic():
            return _write(row, facility, changes, seen, said, action, by)
    except IntegrityError:
        # The same entry came over two lines at once, and the other one was quicker.
        if before := _entry(said, by):
            return Kept(before, {}, replayed=True)
        raise


def may_change(facility: Facility, by: Any) -> None:
    """Raises ``PermissionDenied`` unless ``by`` may change what ``facility`` holds."""
    require(by, "register.change")
    if by is not None and not Facility.objects.visible_to(by).filter(pk=facility.pk).exists():
        raise PermissionDenied(f"{by} does not answer for {facility}.")


def refuse_future(day: dt.date | None, field: str) -> None:
    """Raises ``ValidationError`` at ``field`` for a day to come."""
    if day is not None and day > timezone.localdate():
        raise ValidationError({field: "The day lies in the future. Give the day it was."})


def _write(
    row: Model,
    facility: Facility,
    changes: Mapping[str, Any],
    seen: Mapping[str, Any] | None,
    said: Said,
    action: str,
    by: Any,
) -> Kept:
    if row.pk:
        row = type(row)._default_manager.select_for_update().get(pk=row.pk)
    wanted = differing(row, changes, seen)
    changed = {name: (getattr(row, name), value) for name, value in wanted.items()}
    # Of two entries the one that was seen later says since when the row is known.
    if row.observed_on is None or said.observed_on >= row.observed_on:
        wanted |= {name: getattr(said, name) for name in ("observed_on", "basis", "observer")}
    before = {name: plain(getattr(row, name)) for name in wanted} if row.pk else None
    for name, value in wanted.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    seen_here = keep_observation(row, facility, changes, said, by)
    after = {name: plain(value) for name, value in wanted.items()}
    record(action, by=by, obj=row, before=before, after=after, why=said.why)
    return Kept(seen_here, changed)


def keep_observation(
    row: Model, facility: Facility, facts: Mapping[str, Any], said: Said, by: Any
) -> Observation:
    """Keep what was seen of ``row``; part of a change that its caller records."""
    object_type, object_key = named(row)
    return Observation.objects.create(
        facility=facility,
        object_type=object_type,
        object_key=object_key,
        facts={name: plain(value) for name, value in facts.items()},
        observed_on=said.observed_on,
        basis=said.basis,
        observer=said.observer,
        why=said.why,
        by=by,
        entry_key=said.entry_key,
    )


def _entry(said: Said, by: Any) -> Observation | None:
    if not said.entry_key:
        return None
    return Observation.objects.filter(by=by, entry_key=said.entry_key).first()
