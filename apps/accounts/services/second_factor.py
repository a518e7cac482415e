"""One-time codes (TOTP, RFC 6238) beside the password, and what to do when the device is lost."""

import hashlib
import hmac
import secrets

import pyotp
from django.db import transaction
from django.utils import timezone

from apps.accounts.models import RecoveryCode, SecondFactor, User
from apps.accounts.rules import require
from apps.audit.services import record

STEP_SECONDS = 30
STEPS_OFF = 1  # clocks of phones may be half a minute wrong
RECOVERY_CODES = 10
# Without letters and digits that are taken for one another when copied by hand.
ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"


@transaction.atomic
def begin_second_factor(*, user: User, by: User) -> SecondFactor:
    """A new secret for ``user``'s device; it counts once a code of it was confirmed."""
    SecondFactor.objects.filter(user=user, confirmed_at=None).delete()
    factor = SecondFactor.objects.create(user=user, secret=pyotp.random_base32())
    record("second-factor.begun", by=by, obj=user)
    return factor


@transaction.atomic
def confirm_second_factor(*, user: User, code: str, by: User) -> tuple[str, ...] | None:
    """Ask for codes from now on if ``code`` is right; returns the recovery codes, shown once.

    ``None`` where the code is wrong.
    """
    factor = SecondFactor.objects.select_for_update().filter(user=user, confirmed_at=None).first()
    if factor is None or not _uses_code(factor, code):
        return None
    factor.confirmed_at = timezone.now()
    factor.save(update_fields=["confirmed_at"])
    record("second-factor.added", by=by, obj=user)
    return _new_recovery_codes(user)


@transaction.atomic
def passes_second_factor(*, user: User, code: str, by: User) -> bool:
    """Whether ``code`` is a fresh one-time code or an unused recovery code; it is used up."""
    factor = SecondFactor.objects.select_for_update().filter(user=user).first()
    if factor is None or factor.confirmed_at is None:
        return False
    if _uses_code(factor, code):
        return True
    used = RecoveryCode.objects.filter(user=user, code_sha256=_digest(code), used_at=None).update(
        used_at=timezone.now()
    )
    if used:
        record("recovery-code.used", by=by, obj=user)
    return bool(used)


@transaction.atomic
def renew_recovery_codes(*, user: User, by: User) -> tuple[str, ...]:
    """Ten new recovery codes; the old ones are void."""
    record("recovery-codes.renewed", by=by, obj=user)
    return _new_recovery_codes(user)


@transaction.atomic
def drop_second_factor(*, user: User, by: User, why: str = "") -> None:
    """Ask ``user`` for the password alone again. Another's needs the right to change people."""
    if user != by:
        require(by, "people.change")
    SecondFactor.objects.filter(user=user).delete()
    RecoveryCode.objects.filter(user=user).delete()
    record("second-factor.dropped", by=by, obj=user, why=why)


def _uses_code(factor: SecondFactor, code: str) -> bool:
    """Whether ``code`` belongs to a step near now that is later than any used before."""
    totp = pyotp.TOTP(factor.secret, interval=STEP_SECONDS)
    now = int(timezone.now().timestamp()) // STEP_SECONDS
    given = "".join(code.split())
    for step in range(now - STEPS_OFF, now + STEPS_OFF + 1):
        right = totp.at(step * STEP_SECONDS)
        if step > factor.last_step and hmac.compare_digest(right.encode(), given.encode()):
            factor.last_step = step
            factor.save(update_fields=["last_step"])
            return True
    return False


def _new_recovery_codes(user: User) -> tuple[str, ...]:
    codes = tuple(
        "-".join("".join(secrets.choice(ALPHABET) for _ in range(5)) for _ in range(2))
        for _ in range(RECOVERY_CODES)
    )
    RecoveryCode.objects.filter(user=user).delete()
    RecoveryCode.objects.bulk_create(
        RecoveryCode(user=user, code_sha256=_digest(code)) for code in codes
    )
    return codes


def _digest(code: str) -> str:
    # 49 bits of chance, ten codes, and a brake on tries: a plain digest is enough.
    plain = "".join(code.lower().split()).replace("-", "")
    return hashlib.sha256(plain.encode()).hexdigest()
