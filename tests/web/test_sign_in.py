import datetime as dt

import pytest
from django.test import Client
from django.utils import timezone

from tests.api.register import make_person

RIGHT, WRONG = "correct horse", "wrong horse"
BRAKED = "Too many refused tries for this name. Wait 5 minutes, then try again."


@pytest.fixture
def name(register) -> str:
    return make_person("planner", register.north).username


def sign_in(name: str, password: str, *, address: str = "10.0.0.1"):
    data = {"username": name, "password": password}
    return Client(REMOTE_ADDR=address).post("/sign-in/", data)


def test_the_right_password_leads_to_the_sites(name):
    answer = sign_in(name, RIGHT)

    assert (answer.status_code, answer.url) == (302, "/sites/")


def test_a_wrong_password_is_refused_without_saying_which_of_the_two_was_wrong(name):
    known, unknown = sign_in(name, WRONG), sign_in("nobody-here", WRONG)

    words = "This name and password do not belong together."
    assert [words in answer.content.decode() for answer in (known, unknown)] == [True, True]


def test_the_fifth_refused_try_is_answered_and_the_sixth_is_braked_even_if_right(name):
    answers = [sign_in(name, WRONG) for _ in range(5)]
    sixth = sign_in(name, RIGHT)

    assert [answer.status_code for answer in answers] == [200] * 5
    assert (sixth.status_code, sixth.headers["Retry-After"]) == (429, "300")
    assert BRAKED in sixth.content.decode()


def test_four_refused_tries_do_not_brake_and_a_good_one_clears_the_count(name):
    for _ in range(4):
        sign_in(name, WRONG)
    assert sign_in(name, RIGHT).status_code == 302

    for _ in range(4):
        sign_in(name, WRONG)

    assert sign_in(name, RIGHT).status_code == 302


def test_the_brake_is_for_one_name_at_one_address(name, register):
    for _ in range(5):
        sign_in(name, WRONG)
    colleague = make_person("auditor", register.north).username

    assert sign_in(name, RIGHT, address="10.0.0.2").status_code == 302
    assert sign_in(colleague, RIGHT).status_code == 302


def test_capital_letters_do_not_make_another_name(name):
    for _ in range(5):
        sign_in(name.upper(), WRONG)

    assert sign_in(name, RIGHT).status_code == 429


def test_the_brake_lifts_when_the_first_refused_try_is_five_minutes_old(name, monkeypatch):
    for _ in range(5):
        sign_in(name, WRONG)
    now = timezone.now()

    monkeypatch.setattr(timezone, "now", lambda: now + dt.timedelta(seconds=298))
    assert sign_in(name, RIGHT).status_code == 429
    monkeypatch.setattr(timezone, "now", lambda: now + dt.timedelta(seconds=301))
    assert sign_in(name, RIGHT).status_code == 302


def test_signing_out_takes_a_post(pages):
    assert pages.get("/sign-out/").status_code == 405
    assert pages.post("/sign-out/").url == "/sign-in/"
    assert pages.get("/sites/").status_code == 302


def test_a_changed_password_works_and_the_old_one_does_not(pages, officer):
    data = {
        "old_password": RIGHT,
        "new_password1": "battery staple 9",
        "new_password2": "battery staple 9",
    }

    answer = pages.post("/password/", data, follow=True)

    assert "Your password was changed." in answer.content.decode()
    assert sign_in(officer.username, RIGHT).status_code == 200
    assert sign_in(officer.username, "battery staple 9").status_code == 302


def test_a_wrong_old_password_changes_nothing(pages, officer):
    data = {
        "old_password": WRONG,
        "new_password1": "battery staple 9",
        "new_password2": "battery staple 9",
    }

    answer = pages.post("/password/", data)

    assert "Your old password was entered incorrectly" in answer.content.decode()
    assert sign_in(officer.username, RIGHT).status_code == 302
