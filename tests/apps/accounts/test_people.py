import pytest
from django.core.exceptions import ValidationError

from apps.accounts.models import User
from apps.accounts.services import make_user, set_password
from apps.audit.models import Entry
from tests.factories.accounts import make_person
from tests.factories.facilities import make_block, make_district

WORD = "amber river 42"


def test_somebody_is_made_with_a_role_and_areas_and_that_is_recorded(db):
    chief = make_person("chief")
    upper = make_block("upper", make_district("north"))

    made = make_user(username="ada", password=WORD, role="planner", areas=[upper], by=chief)

    user = User.objects.get(username="ada")
    assert user == made
    assert user.check_password(WORD)
    assert [steward.area for steward in user.stewardships.all()] == [upper]
    assert (user.role, user.is_staff, user.is_superuser) == ("planner", False, False)
    [entry] = Entry.objects.all()
    assert (entry.by, entry.action, entry.after) == (
        chief,
        "user.made",
        {"username": "ada", "role": "planner", "areas": ["upper"]},
    )


def test_an_administrator_gets_into_the_administration_pages(db):
    user = make_user(username="ada", password=WORD, role="administrator")

    assert (user.is_staff, user.is_superuser) == (True, True)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"password": "12345678"}, "This password is too common."),
        ({"password": "ada-ada"}, "This password is too short."),
        ({"role": "king"}, "Value 'king' is not a valid choice."),
        ({"username": "chief"}, "A user with that username already exists."),
    ],
)
def test_a_weak_password_an_unknown_role_or_a_taken_name_makes_nobody(db, values, message):
    make_person("chief")

    with pytest.raises(ValidationError) as refusal:
        make_user(**{"username": "ada", "password": WORD, "role": "planner", **values})

    assert any(text.startswith(message) for text in refusal.value.messages)
    assert User.objects.count() == 1
    assert not Entry.objects.exists()


def test_a_new_password_replaces_the_old_one_and_is_recorded(db):
    user = make_person()

    set_password(user=user, password=WORD, by=None)

    user.refresh_from_db()
    assert user.check_password(WORD)
    assert [entry.action for entry in Entry.objects.all()] == ["password.set"]
