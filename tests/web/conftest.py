from collections.abc import Callable

import pytest
from django.core.cache import cache
from django.test import Client

from apps.accounts.models import User
from tests.api.register import Register, make_person, make_register


@pytest.fixture(autouse=True)
def _nothing_refused_yet():
    """Refused sign-ins are counted in the cache, which outlives a test's transaction."""
    cache.clear()


@pytest.fixture
def register(db) -> Register:
    return make_register()


@pytest.fixture
def browse() -> Callable[[User], Client]:
    """A browser without scripts, in which ``user`` has signed in."""

    def client(user: User) -> Client:
        signed = Client()
        signed.force_login(user)
        return signed

    return client


@pytest.fixture
def officer(register: Register) -> User:
    return make_person("health_officer", register.north)


@pytest.fixture
def pages(browse: Callable[[User], Client], officer: User) -> Client:
    return browse(officer)
