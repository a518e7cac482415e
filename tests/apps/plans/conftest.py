import pytest

from apps.accounts.models import User
from apps.plans.models import Plan, Run
from tests.apps.coverage.district import District, make_small_district
from tests.factories.accounts import make_person
from tests.factories.plans import make_plan, make_run


@pytest.fixture
def small(db) -> District:
    return make_small_district()


@pytest.fixture
def planner(small) -> User:
    planner = make_person("planner", role="planner")
    planner.stewardships.create(area=small.north)
    return planner


@pytest.fixture
def plan(small, planner) -> Plan:
    """Enough money for one site to run packed cell volume: 900 + 200.5 + 500."""
    return make_plan(small.north, planner, capital="1700", gap=0)


@pytest.fixture
def run(plan) -> Run:
    """A computation of ``plan`` that waits."""
    return make_run(plan)


@pytest.fixture
def tasks_wait(settings):
    """What is queued stays queued, as where no worker runs."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}
