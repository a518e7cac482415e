"""Kept answers are shared: the cache is a table that all processes of the service read.

Two requests at one instant need a database that two connections may write, which SQLite in
memory is not: that test runs on PostgreSQL.
"""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.core.cache import cache
from django.core.management import call_command
from django.db import connection

from apps.plans.models import Plan
from planner.settings import CACHES
from tests.api.register import make_person, make_register

BODY = {"title": "Next year", "area": "north", "capital": "3000"}
KEY = {"Idempotency-Key": "key-1"}


@pytest.fixture
def shared_table(db, settings):
    """The cache of the service itself, in place of the quick one of the tests."""
    settings.CACHES = CACHES
    call_command("createcachetable")
    yield
    cache.clear()


@pytest.mark.usefixtures("shared_table")
def test_an_answer_kept_in_the_shared_table_is_given_again(api):
    first, again = (api.post("/api/v1/plans/", BODY, headers=KEY) for _ in range(2))

    assert again.json() == first.json()
    assert again["Idempotency-Replayed"] == "true"
    assert Plan.objects.count() == 1


@pytest.mark.postgres
@pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PLANNER_TEST_DATABASE_URL")
@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("shared_table")
def test_two_requests_at_one_instant_with_one_key_make_one_plan(as_person):
    register = make_register()
    planner = make_person("planner", register.north)
    clients = [as_person(planner) for _ in range(2)]
    start = Barrier(2)

    def send(client):
        start.wait()
        try:
            return client.post("/api/v1/plans/", BODY, headers=KEY)
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(send, clients))

    assert Plan.objects.count() == 1
    statuses = sorted(answer.status_code for answer in answers)
    assert statuses in ([201, 201], [201, 409])
    made = [answer.json()["id"] for answer in answers if answer.status_code == 201]
    assert set(made) == {Plan.objects.get().pk}
