"""What load balancers, service managers and Prometheus ask."""

import datetime as dt
import re

import pytest
from django.core.cache import cache
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone
from django_tasks_db.models import DBTaskResult


def test_a_live_process_says_so_without_the_database(client, django_assert_num_queries, db):
    with django_assert_num_queries(0):
        answer = client.get("/healthz")

    assert (answer.status_code, answer.content) == (200, b"alive\n")


def test_a_service_that_can_work_is_ready(client, db, settings):
    answer = client.get("/readyz")

    assert (answer.status_code, answer.json()) == (
        200,
        {
            "version": settings.VERSION,
            "database": "fine",
            "migrations": "fine",
            "cache": "fine",
            "queue": "fine",
        },
    )


def test_a_database_that_does_not_answer_is_told_by_the_kind_of_error_alone(
    client, db, monkeypatch
):
    def refuse():
        raise ConnectionError("password=secret host=10.0.0.1")

    # Put back before the test ends: its transaction is rolled back through a cursor.
    with monkeypatch.context() as patch:
        patch.setattr(connection, "cursor", refuse)
        answer = client.get("/readyz")

    assert answer.status_code == 503
    assert answer.json()["database"] == "does not answer (ConnectionError)"
    assert "secret" not in answer.content.decode()


def test_migrations_that_wait_are_counted_and_named_a_remedy(client, db, monkeypatch):
    monkeypatch.setattr(MigrationExecutor, "migration_plan", lambda *_: ["one", "two"])

    answer = client.get("/readyz")

    assert (answer.status_code, answer.json()["migrations"]) == (
        503,
        "2 not applied: run manage.py migrate",
    )


def test_a_cache_that_keeps_nothing_is_noticed(client, db, monkeypatch):
    monkeypatch.setattr(cache, "get", lambda *_: None)

    assert "createcachetable" in client.get("/readyz").json()["cache"]


@pytest.mark.parametrize(("seconds", "status"), [(590, 200), (610, 503)])
def test_a_task_that_waits_too_long_asks_for_a_worker(client, db, seconds, status):
    waiting = DBTaskResult.objects.create(
        task_path="apps.plans.tasks.run_plan",
        backend_name="default",
        args_kwargs={"args": [1], "kwargs": {}},
        run_after=timezone.now(),
        exception_class_path="",
        traceback="",
    )
    since = timezone.now() - dt.timedelta(seconds=seconds)
    DBTaskResult.objects.filter(pk=waiting.pk).update(enqueued_at=since)

    answer = client.get("/readyz")

    assert answer.status_code == status
    assert ("is a worker running" in answer.json()["queue"]) == (status == 503)


def test_metrics_are_not_found_without_a_token_in_the_settings(client, db):
    assert client.get("/metrics", headers={"Authorization": "Bearer "}).status_code == 404


@pytest.mark.parametrize("header", [{}, {"Authorization": "Bearer wrong"}])
def test_metrics_are_not_found_without_the_right_token(client, db, settings, header):
    settings.METRICS_TOKEN = "right"

    assert client.get("/metrics", headers=header).status_code == 404


def test_metrics_count_requests_by_page_and_never_by_address(client, db, settings):
    settings.METRICS_TOKEN = "right"
    client.get("/sites/hill-secret/")
    client.get("/no-such-page-secret/")

    text = client.get("/metrics", headers={"Authorization": "Bearer right"}).content.decode()

    assert re.search(
        r'benchward_requests_total\{method="GET",page="web:site-detail",status="302"\} [1-9]', text
    )
    assert re.search(r'benchward_requests_total\{method="GET",page="none",status="404"\}', text)
    assert 'benchward_request_seconds_bucket{le="0.15",page="web:site-detail"}' in text
    assert "secret" not in text
