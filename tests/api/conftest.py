from collections.abc import Callable

import pytest
from django.core.cache import cache
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from apps.accounts.models import User
from tests.api.register import Register, make_person, make_register


@pytest.fixture(autouse=True)
def _nothing_counted_yet():
    """Limits and kept answers live in the cache, which outlives a test's transaction."""
    cache.clear()


@pytest.fixture
def register(db) -> Register:
    return make_register()


@pytest.fixture
def planner(register: Register) -> User:
    return make_person("planner", register.north)


@pytest.fixture
def outsider(register: Register) -> User:
    """Somebody with the same role, but for the other district."""
    return make_person("planner", register.south)


@pytest.fixture
def as_person() -> Callable[[User | None], APIClient]:
    """A client signed in by token; anonymous for ``None``."""

    def client(user: User | None) -> APIClient:
        signed = APIClient()
        if user is not None:
            token, _ = Token.objects.get_or_create(user=user)
            signed.credentials(HTTP_AUTHORIZATION=f"Token {token.key}")
        return signed

    return client


@pytest.fixture
def api(as_person: Callable[[User | None], APIClient], planner: User) -> APIClient:
    return as_person(planner)
