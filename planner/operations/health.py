"""Is the process alive, and can it do its work? For load balancers and service managers."""

import datetime as dt
from collections.abc import Callable

from django.conf import settings
from django.core.cache import cache
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django_tasks.base import TaskResultStatus
from django_tasks_db.models import DBTaskResult

FINE = "fine"


def alive(request: HttpRequest) -> HttpResponse:
    """Answers as long as the process does; asks nothing of the database."""
    return HttpResponse("alive\n", content_type="text/plain")


def ready(request: HttpRequest) -> JsonResponse:
    """200 if every part answers, 503 with what is wrong otherwise."""
    parts = {name: _asked(check) for name, check in CHECKS.items()}
    status = 200 if set(parts.values()) == {FINE} else 503
    return JsonResponse({"version": settings.VERSION, **parts}, status=status)


def _asked(check: Callable[[], str]) -> str:
    try:
        return check()
    except Exception as error:
        # Whatever it is, the part does not answer; the kind of error is all that is told.
        return f"does not answer ({type(error).__name__})"


def _database() -> str:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return FINE


def _migrations() -> str:
    executor = MigrationExecutor(connection)
    waiting = len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    return f"{waiting} not applied: run manage.py migrate" if waiting else FINE


def _cache() -> str:
    cache.set("ready", "yes", 10)
    return FINE if cache.get("ready") == "yes" else "does not keep: run manage.py createcachetable"


def _queue() -> str:
    """Fine unless a task has waited for longer than a worker would let it."""
    patience = dt.timedelta(seconds=settings.QUEUE_PATIENCE_SECONDS)
    late = DBTaskResult.objects.filter(
        status=TaskResultStatus.READY, enqueued_at__lt=timezone.now() - patience
    ).count()
    return f"{late} tasks wait: is a worker running (manage.py db_worker)?" if late else FINE


CHECKS = {"database": _database, "migrations": _migrations, "cache": _cache, "queue": _queue}
