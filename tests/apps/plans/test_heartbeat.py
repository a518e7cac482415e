"""A run shows that its worker lives, and a worker that is killed is missed."""

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import DatabaseError, connection

from apps.plans import tasks
from apps.plans.models import Run
from planner.settings import ROOT
from tests.factories.accounts import make_person
from tests.factories.facilities import make_district
from tests.factories.plans import make_plan, make_run

PATIENCE_S = 60
LOST_AFTER_S = 2


def wait_until(is_so: Callable[[], object], what: str) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < deadline, f"{what} did not happen within {PATIENCE_S} s"
        time.sleep(0.05)


@pytest.fixture
def run(transactional_db) -> Run:
    run = make_run(make_plan(make_district(), make_person()))
    Run.objects.update(state="running")
    return run


def heartbeat(run: Run):
    return Run.objects.values_list("heartbeat_at", flat=True).get(pk=run.pk)


def test_the_heart_of_a_run_beats_while_its_worker_is_busy_and_no_longer(run, settings):
    settings.HEARTBEAT_SECONDS = 0.05

    with tasks.beating(run.pk):
        wait_until(lambda: heartbeat(run), "the first beat")
        first = heartbeat(run)
        wait_until(lambda: heartbeat(run) > first, "the next beat")
    last = heartbeat(run)
    time.sleep(0.2)

    assert heartbeat(run) == last


def test_the_heart_survives_a_database_that_is_away_for_a_moment(run, settings, monkeypatch):
    settings.HEARTBEAT_SECONDS = 0.02
    beat, failures = tasks.beat, iter([True, True])

    def sometimes(run_id: int) -> None:
        if next(failures, False):
            raise DatabaseError("away")
        beat(run_id)

    monkeypatch.setattr(tasks, "beat", sometimes)

    with tasks.beating(run.pk):
        wait_until(lambda: heartbeat(run), "a beat after the failures")


def test_the_heart_stops_when_the_computation_fails(run, settings):
    settings.HEARTBEAT_SECONDS = 0.02

    def compute() -> None:
        with tasks.beating(run.pk):
            wait_until(lambda: heartbeat(run), "the first beat")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        compute()
    last = heartbeat(run)
    time.sleep(0.1)

    assert heartbeat(run) == last


def test_a_task_looks_first_for_runs_that_a_worker_left_behind(run, settings):
    settings.RUN_LOST_AFTER_SECONDS = 60
    Run.objects.update(heartbeat_at="2026-01-15T00:00:00Z")
    waiting = make_run(run.plan)

    tasks.run_plan.enqueue(waiting.pk)

    states = dict(Run.objects.values_list("pk", "state"))
    # The other fails, since its district has no facility; that is another test's subject.
    assert states == {run.pk: "interrupted", waiting.pk: "failed"}


# A real worker, killed.

START = """
from apps.accounts.models import User
from apps.facilities.models import Area
from apps.plans.management.demo_question import read_question
from apps.plans.services import draft_plan, start_run
from pathlib import Path
who = User.objects.create_user("ada", role="planner")
question = read_question(Path("fixtures/demo"))
# To the last fraction it takes long enough to be killed in the middle.
question.update(gap=0, time_limit_s=600)
plan = draft_plan(area=Area.objects.get(kind="district"), by=who, **question)
start_run(plan=plan, by=who)
"""


class Service:
    """A database file of its own, and commands of the service upon it."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "planner.db"
        self.environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "planner.settings",
            "PLANNER_VAR_DIR": str(folder),
            "PLANNER_DATABASE_URL": f"sqlite:///{self.path}",
            "PLANNER_RUN_LOST_AFTER_SECONDS": str(LOST_AFTER_S),
        }

    def command(self, *words: str) -> list[str]:
        return [sys.executable, "-m", "django", *words]

    def do(self, *words: str) -> None:
        subprocess.run(  # noqa: S603
            self.command(*words), cwd=ROOT, env=self.environment, check=True, capture_output=True
        )

    def worker(self) -> subprocess.Popen[bytes]:
        words = ("db_worker", "--interval", "0.1", "--no-startup-delay", "-v", "0")
        return subprocess.Popen(self.command(*words), cwd=ROOT, env=self.environment)  # noqa: S603

    def run(self) -> tuple[str, str]:
        """State and phase of the only run, read without Django."""
        database = sqlite3.connect(self.path)
        try:
            return database.execute("SELECT state, phase FROM plans_run").fetchone()
        finally:
            database.close()


@pytest.mark.skipif(
    connection.vendor != "sqlite", reason="brings a database of its own; once is enough"
)
def test_a_run_whose_worker_is_killed_is_marked_interrupted_by_the_next_worker(tmp_path):
    service = Service(tmp_path)
    service.do("migrate", "-v", "0")
    service.do("load_catalogue", "fixtures/catalogue")
    service.do("load_register", "fixtures/demo")
    service.do("shell", "-v", "0", "-c", START)
    first = service.worker()
    try:
        wait_until(lambda: service.run()[1].startswith("looking for"), "the search for plans")
        os.kill(first.pid, signal.SIGKILL)
        first.wait()
        assert service.run()[0] == "running"
        time.sleep(LOST_AFTER_S + 0.5)
    finally:
        first.kill()
    second = service.worker()
    try:
        wait_until(lambda: service.run()[0] == "interrupted", "the interruption")
    finally:
        second.terminate()
        second.wait()

    assert service.run() == ("interrupted", "")
