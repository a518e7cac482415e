import pytest

from tests.apps.coverage.district import District, make_small_district


@pytest.fixture
def small(db) -> District:
    return make_small_district()
