"""What the worker does. ``manage.py db_worker`` runs it, in as many processes as wanted."""

from contextlib import AbstractContextManager

from django_tasks import task

from apps.plans.services import beat, compute_run, mark_interrupted
from planner.operations import heartbeats


@task()
def run_plan(run_id: int) -> None:
    """Compute one run; its heart beats as long as this process lives."""
    mark_interrupted()
    with beating(run_id):
        compute_run(run_id)


def beating(run_id: int) -> AbstractContextManager[None]:
    """Give signs of life of ``run_id``, whatever the solver is at."""
    return heartbeats.beating(lambda: beat(run_id), f"run {run_id}")
