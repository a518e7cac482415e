"""The second step of signing in, the own account, invitations and people, as pages."""

import re

import pyotp
import pytest
from django.test import Client

from apps.accounts.models import SecondFactor, User
from apps.accounts.services import begin_second_factor, confirm_second_factor
from tests.api.register import make_person

RIGHT = "correct horse"


@pytest.fixture
def careful(register):
    """Somebody with a second factor, and a fresh code for each call."""
    person = make_person("health_officer", register.north)
    factor = begin_second_factor(user=person, by=person)
    codes = confirm_second_factor(user=person, code=pyotp.TOTP(factor.secret).now(), by=person)
    return person, list(codes)


def sign_in(client, username, password=RIGHT, **more):
    return client.post("/sign-in/", {"username": username, "password": password, **more})


def fresh(person) -> str:
    factor = SecondFactor.objects.get(user=person)
    SecondFactor.objects.update(last_step=0)
    return pyotp.TOTP(factor.secret).now()


def test_the_password_alone_does_not_sign_in_who_has_a_second_factor(client, careful):
    person, _ = careful

    assert sign_in(client, person.username).url == "/sign-in/code/"
    assert client.get("/sites/").url == "/sign-in/?next=/sites/"


def test_the_code_signs_in_and_leads_where_one_was_going(client, careful):
    person, _ = careful
    sign_in(client, person.username, next="/plans/")

    assert client.post("/sign-in/code/", {"code": fresh(person)}).url == "/plans/"
    assert client.get("/sites/").status_code == 200


def test_nobody_is_led_to_another_host(client, careful):
    person, _ = careful
    sign_in(client, person.username, next="https://elsewhere.example/")

    assert client.post("/sign-in/code/", {"code": fresh(person)}).url == "/"


def test_a_recovery_code_signs_in_too(client, careful):
    person, codes = careful
    sign_in(client, person.username)

    assert client.post("/sign-in/code/", {"code": codes[0]}).status_code == 302


def test_a_wrong_code_does_not_and_the_sixth_try_is_braked(client, careful):
    person, _ = careful
    sign_in(client, person.username)

    answers = [client.post("/sign-in/code/", {"code": "000000"}) for _ in range(5)]
    assert [answer.status_code for answer in answers] == [200] * 5
    assert "This code is not right" in answers[0].content.decode()
    braked = client.post("/sign-in/code/", {"code": fresh(person)})
    assert (braked.status_code, braked.headers["Retry-After"]) == (429, "300")


def test_the_code_page_alone_leads_back_to_the_password(client, careful):
    assert client.get("/sign-in/code/").url == "/sign-in/"


def test_the_administration_has_no_door_of_its_own(client, db):
    answer = client.get("/admin/login/?next=/admin/")

    assert (answer.status_code, answer.url) == (302, "/sign-in/?next=/admin/")


def test_a_second_factor_is_added_with_a_picture_a_secret_and_a_first_code(pages, officer):
    assert "Begin" in pages.get("/account/second-factor/").content.decode()
    page = pages.post("/account/second-factor/", follow=True).content.decode()
    factor = SecondFactor.objects.get(user=officer)
    assert factor.secret in page
    assert re.search(r'<svg [^>]*class="matrix-code"', page)

    refused = pages.post("/account/second-factor/", {"code": "000000"}).content.decode()
    assert "Is the clock of your device right?" in refused

    page = pages.post("/account/second-factor/", {"code": fresh(officer)}).content.decode()
    assert len(re.findall(r"<code>[a-z2-9]{5}-[a-z2-9]{5}</code>", page)) == 10
    assert "10 recovery codes are left" in pages.get("/account/").content.decode()


def test_dropping_it_and_new_recovery_codes_ask_for_a_code_first(browse, careful):
    person, codes = careful
    pages = browse(person)

    pages.post("/account/second-factor/drop/", {"code": "000000"})
    pages.post("/account/second-factor/recovery-codes/", {"code": "000000"})
    assert person.recovery_codes.filter(used_at=None).count() == 10
    renewed = pages.post("/account/second-factor/recovery-codes/", {"code": codes[0]})
    assert "Your recovery codes" in renewed.content.decode()

    pages.post("/account/second-factor/drop/", {"code": fresh(person)})
    assert not SecondFactor.objects.exists()


def test_a_role_that_has_to_have_one_gets_no_page_before_it(pages, officer, settings):
    settings.SECOND_FACTOR_ROLES = frozenset({"health_officer"})

    assert pages.get("/sites/").url == "/account/second-factor/"
    assert pages.get("/account/second-factor/").status_code == 200


def test_the_account_lists_browsers_and_signs_out_of_another(register):
    person = make_person("planner", register.north)
    here, there = Client(HTTP_USER_AGENT="Here 1.0"), Client(HTTP_USER_AGENT="There 2.0")
    for browser in (here, there):
        sign_in(browser, person.username)

    page = here.get("/account/").content.decode()
    assert "Here 1.0" in page
    assert "There 2.0" in page
    [other] = person.open_sessions.filter(browser="There 2.0")
    here.post(f"/account/sessions/{other.pk}/end/")

    assert there.get("/sites/").status_code == 302
    assert here.get("/sites/").status_code == 200


def test_signing_out_everywhere_else_keeps_this_browser(register):
    person = make_person("planner", register.north)
    browsers = [Client() for _ in range(3)]
    for browser in browsers:
        sign_in(browser, person.username)

    answer = browsers[0].post("/account/sessions/end-others/", follow=True)

    assert "2 other browsers are signed out." in answer.content.decode()
    assert [browser.get("/sites/").status_code for browser in browsers] == [200, 302, 302]


def test_nobody_ends_the_session_of_somebody_else(pages, register):
    person = make_person("planner", register.north)
    sign_in(Client(), person.username)

    answer = pages.post(f"/account/sessions/{person.open_sessions.get().pk}/end/")

    assert answer.status_code == 404
    assert person.open_sessions.exists()


def test_an_invitation_is_made_shown_once_and_accepted(pages, register, client):
    data = {"person": "Lab at hill", "role": "in_charge", "areas": ["upper"]}
    page = pages.post("/invitations/", data).content.decode()
    [link] = re.findall(r"http://testserver(/invitations/accept/[\w-]+/)", page)
    assert link not in pages.get("/invitations/").content.decode()

    assert "For Lab at hill, as Facility in-charge" in client.get(link).content.decode()
    answer = client.post(
        link, {"username": "hill", "password": "battery staple 9", "again": "battery staple 9"}
    )

    assert answer.url == "/sign-in/"
    assert [held.area.code for held in User.objects.get(username="hill").stewardships.all()] == [
        "upper"
    ]
    assert client.get(link).status_code == 410


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (
            {"username": "hill", "password": "battery 9", "again": "other"},
            "The two passwords differ",
        ),
        ({"username": "hill", "password": "1234", "again": "1234"}, "too short"),
        (
            {"username": "taken", "password": "battery staple 9", "again": "battery staple 9"},
            "already exists",
        ),
    ],
)
def test_what_is_wrong_with_a_new_account_stands_beside_the_field(pages, client, given, says):
    User.objects.create_user("taken")
    data = {"person": "x", "role": "in_charge", "areas": ["upper"]}
    page = pages.post("/invitations/", data).content.decode()
    [link] = re.findall(r"http://testserver(/invitations/accept/[\w-]+/)", page)

    assert says in client.post(link, given).content.decode()
    assert not User.objects.filter(username="hill").exists()


def test_an_officer_invites_only_into_the_own_areas_and_only_those_in_charge(pages, register):
    outside = pages.post("/invitations/", {"person": "x", "role": "in_charge", "areas": ["south"]})
    above = pages.post("/invitations/", {"person": "x", "role": "planner", "areas": ["upper"]})

    assert ["accept" in answer.content.decode() for answer in (outside, above)] == [False, False]


def test_an_open_invitation_is_withdrawn(pages, client):
    data = {"person": "x", "role": "in_charge", "areas": ["upper"]}
    page = pages.post("/invitations/", data).content.decode()
    [link] = re.findall(r"http://testserver(/invitations/accept/[\w-]+/)", page)
    [number] = re.findall(r"/invitations/(\d+)/withdraw/", page)

    pages.post(f"/invitations/{number}/withdraw/")

    assert client.get(link).status_code == 410


def test_an_auditor_sees_who_may_sign_in_and_changes_nothing(browse, register, officer):
    auditor = browse(make_person("auditor", register.north))

    page = auditor.get("/people/").content.decode()
    assert officer.username in page
    assert "Close this account" not in page
    assert auditor.post(f"/people/{officer.username}/close/").status_code == 403


def test_an_administrator_closes_an_account(browse, register, officer, django_user_model):
    administrator = browse(
        django_user_model.objects.create_user("admin", role="administrator", is_superuser=True)
    )

    administrator.post(f"/people/{officer.username}/close/")

    officer.refresh_from_db()
    assert not officer.is_active
