import pytest

from apps.accounts.models import User
from tests.api.register import Register, make_person, make_register


@pytest.fixture
def register(db) -> Register:
    """Two sites of district north, one with a photometer; one site of district south."""
    return make_register()


@pytest.fixture
def officer(register: Register) -> User:
    return make_person("health_officer", register.north)
