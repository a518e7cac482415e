"""Runs that are cancelled, given up or ended in the middle, and a database that is away."""

import logging
from threading import Thread
from typing import get_args

import pytest
from django.db import OperationalError, connection

from apps.coverage.selectors import read_document
from apps.plans.models import Line, Run
from apps.plans.services import compute_run, listening
from planner.engine.allocation import Progress
from planner.engine.allocation import plan as best_plan
from planner.engine.allocation.progress import Phase
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.errors import NoPlanError
from tests.apps.plans.optimising import computed, instead_of_planning


@pytest.mark.parametrize("ending", [KeyboardInterrupt, SystemExit])
def test_a_worker_that_is_ended_says_that_the_run_was_interrupted(run, monkeypatch, ending):
    def then(case, progress, cancelled):
        raise ending

    instead_of_planning(monkeypatch, then)

    with pytest.raises(ending):
        compute_run(run.pk)

    run.refresh_from_db()
    assert (run.state, run.message) == (
        "interrupted",
        "The worker was stopped before it was done. Start the run again.",
    )


def stop(case, progress, cancelled) -> None:
    """Somebody presses Cancel, and the optimiser asks."""
    assert not cancelled.seen
    Run.objects.update(cancel_requested=True)
    assert cancelled()


def test_a_cancelled_run_keeps_the_best_plan_found_until_then(run, monkeypatch):
    def then(case, progress, cancelled):
        stop(case, progress, cancelled)
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert run.state == "cancelled"
    assert run.message == (
        "The search was stopped. The best plan found until then is kept with the run; no plan can"
        " be better by more than 0.00%."
    )
    assert run.lines.count() == 3
    assert verify(Case.read(read_document(run.case_id)),
                  Result.read(read_document(run.result_id))) == []  # fmt: skip


def test_a_run_that_is_cancelled_before_any_plan_was_found_is_cancelled_and_not_failed(
    run, monkeypatch
):
    def then(case, progress, cancelled):
        stop(case, progress, cancelled)
        raise NoPlanError("The run was cancelled after 1 s.", remedy="Start it again to get one.")

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert (run.state, run.message) == (
        "cancelled",
        "The run was cancelled after 1 s. Start it again to get one.",
    )


def test_a_run_that_was_not_cancelled_is_never_told_to_stop(run, monkeypatch):
    asked = []

    def then(case, progress, cancelled):
        asked.append(cancelled())
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    assert computed(run).state == "done"
    assert asked == [False]


def test_an_answer_that_comes_after_the_run_was_given_up_is_dropped(run, monkeypatch):
    def then(case, progress, cancelled):
        Run.objects.update(state="interrupted", message="given up")
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert (run.state, run.message, run.result) == ("interrupted", "given up", None)
    assert not Line.objects.exists()


def test_a_run_that_was_given_up_is_told_to_stop(run, monkeypatch):
    asked = []

    def then(case, progress, cancelled):
        Run.objects.update(state="interrupted")
        asked.append(cancelled())
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    computed(run)

    assert asked == [True]


def test_a_database_that_is_away_for_a_moment_ends_no_search(run, monkeypatch, caplog):
    answers = []

    def then(case, progress, cancelled):
        with monkeypatch.context() as away:
            away.setattr(listening.Run, "objects", NoAnswers())
            progress(Progress("search", 1.0, 900.0, 1000.0, 0.1111))
            answers.append(cancelled())
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    with caplog.at_level(logging.WARNING, logger=listening.__name__):
        computed(run)

    assert (run.state, answers) == ("done", [False])
    assert [logged.getMessage() for logged in caplog.records] == [
        "The database did not answer; the computation goes on"
    ] * 2


class NoAnswers:
    def filter(self, **limits):
        return self

    def _fail(self, **values):
        raise OperationalError("the server closed the connection")

    update = exists = _fail


@pytest.mark.postgres
@pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PLANNER_TEST_DATABASE_URL")
@pytest.mark.django_db(transaction=True)
def test_a_connection_that_the_server_ends_is_opened_anew(run, monkeypatch):
    def then(case, progress, cancelled):
        end_from_outside(connection.connection.info.backend_pid)
        progress(Progress("search", 1.0, 900.0, 1000.0, 0.1111))
        return best_plan(case)

    instead_of_planning(monkeypatch, then)

    assert computed(run).state == "done"


def end_from_outside(backend_pid: int) -> None:
    def end() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(%s, 5000)", [backend_pid])
        connection.close()

    other = Thread(target=end)
    other.start()
    other.join()


def test_every_phase_of_the_optimiser_has_words_that_fit_the_run():
    assert set(listening.PHASES) == set(get_args(Phase))
    longest = Run._meta.get_field("phase").max_length
    assert [words for words in listening.PHASES.values() if len(words) > longest] == []
