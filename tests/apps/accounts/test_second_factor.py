"""One-time codes, against the test values of RFC 6238, and recovery codes."""

import base64
import datetime as dt

import pyotp
import pytest
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from apps.accounts.choices import Role
from apps.accounts.models import RecoveryCode, SecondFactor
from apps.accounts.selectors import (
    begun_second_factor,
    has_second_factor,
    must_add_second_factor,
    recovery_codes_left,
)
from apps.accounts.services import (
    begin_second_factor,
    confirm_second_factor,
    drop_second_factor,
    passes_second_factor,
    renew_recovery_codes,
)
from tests.factories.accounts import make_person

pytestmark = pytest.mark.django_db

# RFC 6238, appendix B, SHA-1: seconds since 1970 and the last six of the eight digits (from
# memory; the RFC's secret is the digits 1 to 0 twice).
RFC_SECRET = base64.b32encode(b"12345678901234567890").decode()
RFC_VALUES = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
]


class Clock:
    def __init__(self, monkeypatch) -> None:
        self.seconds = 1_800_000_000.0
        monkeypatch.setattr(
            timezone, "now", lambda: dt.datetime.fromtimestamp(self.seconds, tz=dt.UTC)
        )


@pytest.fixture
def clock(monkeypatch):
    return Clock(monkeypatch)


@pytest.fixture
def person():
    return make_person("careful")


def code_at(person, seconds: float) -> str:
    return pyotp.TOTP(SecondFactor.objects.get(user=person).secret).at(int(seconds))


def add(person, clock) -> tuple[str, ...]:
    begin_second_factor(user=person, by=person)
    code = code_at(person, clock.seconds)
    return confirm_second_factor(user=person, code=code, by=person)


def passes(person, code) -> bool:
    return passes_second_factor(user=person, code=code, by=person)


@pytest.mark.parametrize(("seconds", "code"), RFC_VALUES)
def test_a_code_is_that_of_the_standard(person, clock, seconds, code):
    SecondFactor.objects.create(user=person, secret=RFC_SECRET, confirmed_at=timezone.now())
    clock.seconds = seconds

    assert passes(person, code)


def test_a_second_factor_counts_once_its_first_code_was_confirmed(person, clock):
    begin_second_factor(user=person, by=person)
    assert not has_second_factor(person)
    assert begun_second_factor(person)

    assert confirm_second_factor(user=person, code="000000", by=person) is None
    assert not has_second_factor(person)

    codes = confirm_second_factor(user=person, code=code_at(person, clock.seconds), by=person)
    assert has_second_factor(person)
    assert len(set(codes)) == 10


def test_beginning_again_makes_another_secret(person):
    first = begin_second_factor(user=person, by=person).secret

    assert begin_second_factor(user=person, by=person).secret != first
    assert SecondFactor.objects.count() == 1


def test_a_code_counts_once(person, clock):
    add(person, clock)
    clock.seconds += 30
    code = code_at(person, clock.seconds)

    assert passes(person, code)
    assert not passes(person, code)


@pytest.mark.parametrize(
    ("late", "counts"), [(-31, True), (0, True), (31, True), (95, False), (-95, False)]
)
def test_a_clock_half_a_minute_off_is_forgiven(person, clock, late, counts):
    add(person, clock)
    clock.seconds += 315  # the middle of a step

    assert passes(person, code_at(person, clock.seconds + late)) is counts


def test_an_older_code_does_not_count_after_a_newer_one(person, clock):
    add(person, clock)
    clock.seconds += 300
    assert passes(person, code_at(person, clock.seconds))

    assert not passes(person, code_at(person, clock.seconds - 30))


def test_blanks_in_a_code_do_not_matter(person, clock):
    add(person, clock)
    clock.seconds += 60
    code = code_at(person, clock.seconds)

    assert passes(person, f" {code[:3]} {code[3:]} ")


def test_a_recovery_code_takes_the_place_of_a_code_once(person, clock):
    codes = add(person, clock)

    assert passes(person, codes[0].upper())
    assert not passes(person, codes[0])
    assert recovery_codes_left(person) == 9


def test_recovery_codes_are_not_kept_as_they_are(person, clock):
    codes = add(person, clock)

    assert codes[0] not in str(RecoveryCode.objects.values())


def test_new_recovery_codes_make_the_old_ones_void(person, clock):
    old = add(person, clock)
    new = renew_recovery_codes(user=person, by=person)

    assert not passes(person, old[1])
    assert passes(person, new[1])


def test_another_persons_codes_do_not_count(person, clock):
    other = make_person("other")
    codes = add(other, clock)
    add(person, clock)

    assert not passes(person, codes[0])


def test_without_a_second_factor_no_code_counts(person):
    assert not passes(person, "123456")
    assert not passes(person, "")


def test_dropping_it_voids_codes_and_secret(person, clock):
    codes = add(person, clock)

    drop_second_factor(user=person, by=person)

    assert not has_second_factor(person)
    assert not passes(person, codes[0])


def test_only_administrators_drop_the_second_factor_of_others(person, clock):
    add(person, clock)
    with pytest.raises(PermissionDenied):
        drop_second_factor(user=person, by=make_person("colleague", role=Role.AUDITOR))

    drop_second_factor(
        user=person, by=make_person("admin", role=Role.ADMINISTRATOR, is_superuser=True)
    )
    assert not has_second_factor(person)


def test_a_role_may_have_to_have_one(person, clock, settings):
    assert not must_add_second_factor(person)

    settings.SECOND_FACTOR_ROLES = frozenset({"in_charge"})
    assert must_add_second_factor(person)
    add(person, clock)
    assert not must_add_second_factor(person)
