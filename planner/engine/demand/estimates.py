"""Tests a year from what was recorded, and from people and how often they fall ill."""

import numpy as np
from numpy.typing import ArrayLike

from planner.engine.demand.limits import DAYS_WITHOUT, SHARE, TESTS
from planner.engine.physics.quantities import Quantity, Values

DAYS_PER_YEAR = 365.0
PREGNANCY_LOSS_FACTOR = 1.10
"""Pregnancies for each birth: some end early. A planning default."""

_GROWTH = Quantity("growth", "a year", -0.5, 1, "is this in per cent? Divide by 100")
_PEOPLE = Quantity("population", "people", 0, 1e10, above_zero=False)
_EPISODES = Quantity(
    "episodes", "per person and year", 0, 100, "is this per 1000 people?", above_zero=False
)
_PER_EPISODE = Quantity("tests per episode", "", 0, 100, above_zero=False)
_BIRTHS = Quantity(
    "crude birth rate", "per 1000 people and year", 0, 80, "is this a share?", above_zero=False
)
_LOSS = Quantity("pregnancies per birth", "", 1, 2, above_zero=False)


def from_service_statistics(
    recorded_tests: ArrayLike,
    completeness_share: ArrayLike,
    days_without: ArrayLike,
    growth_share: ArrayLike = 0.0,
) -> Values:
    """Tests a year = recorded × (1 + growth) ÷ completeness ÷ (1 − days without / 365).

    ``completeness_share``: of the reports of the year, those that came in, 0 to 1.
    ``days_without``: days on which the test could not be done; what people asked for then
    was not recorded. ``growth_share``: of demand, from the year of the record to the year
    planned for. NaN where no report came in, or the test was away all year: nothing was
    seen that could be scaled up.

    Source: common practice of quantification; see ``planner/docs/method.md``.
    """
    recorded = TESTS.values(recorded_tests) * (1 + _GROWTH.values(growth_share))
    reported = SHARE.values(completeness_share)
    open_share = 1 - DAYS_WITHOUT.values(days_without) / DAYS_PER_YEAR
    seen = np.where((reported > 0) & (open_share > 0), reported * open_share, np.nan)
    return recorded / seen


def from_morbidity(
    population: ArrayLike,
    episodes_per_person_year: ArrayLike,
    care_seeking_share: ArrayLike = 1.0,
    eligible_share: ArrayLike = 1.0,
    tests_per_episode: ArrayLike = 1.0,
) -> Values:
    """Tests a year = population × episodes × care-seeking × eligible share × tests per episode.

    What would be asked for if everybody who comes were tested as they should be: it is
    above the other two where tests are rationed, and blind to where people really go.
    """
    episodes = _PEOPLE.values(population) * _EPISODES.values(episodes_per_person_year)
    seen = episodes * SHARE.values(care_seeking_share)
    return seen * SHARE.values(eligible_share) * _PER_EPISODE.values(tests_per_episode)


def expected_pregnancies(
    population: ArrayLike,
    births_per_1000: ArrayLike,
    pregnancies_per_birth: ArrayLike = PREGNANCY_LOSS_FACTOR,
) -> Values:
    """Pregnancies a year = population × crude birth rate ÷ 1000 × 1.10.

    As episodes they give the tests of antenatal care: one for a first-visit test, the
    number of visits for one that each visit repeats.
    """
    births = _PEOPLE.values(population) * _BIRTHS.values(births_per_1000) / 1000
    return births * _LOSS.values(pregnancies_per_birth)
