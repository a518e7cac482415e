"""Maximal covering and set covering put as planning cases with links, against spopt.

Church and ReVelle 1974 (maximal covering), Toregas et al. 1971 (set covering), as solved by
spopt 0.7 on the network distances that it ships for its own tests: 16 shops and 205 census
tracts of a city, distances in metres.
"""

from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd
import pulp
import pytest

from tests.independent.judged import GAP, judged_plan
from tests.independent.reductions import covering

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")

spopt = pytest.importorskip("spopt.locate")
DISTANCES = (
    Path(spopt.__file__).parents[1]
    / "tests/test_locate/data"
    / "SF_network_distance_candidateStore_16_censusTract_205_new.csv"
)


class City(NamedTuple):
    """``distance_m`` is tracts × shops; ``people`` is counted per tract."""

    distance_m: np.ndarray
    people: np.ndarray

    def within(self, radius_m: float) -> dict[str, set[str]]:
        return {
            f"shop-{shop}": {f"tract-{tract}" for tract in np.flatnonzero(column <= radius_m)}
            for shop, column in enumerate(self.distance_m.T)
        }

    def demand(self) -> dict[str, float]:
        return {f"tract-{number}": float(count) for number, count in enumerate(self.people)}


@cache
def city() -> City:
    if not DISTANCES.exists():
        pytest.skip(f"the installed spopt has no {DISTANCES.name}")
    table = pd.read_csv(DISTANCES)
    distance_m = table.pivot_table(values="distance", index="DestinationName", columns="name")
    people = table.groupby("DestinationName")["demand"].first()
    return City(distance_m.to_numpy(), people.to_numpy())


@pytest.mark.parametrize("facilities", [1, 2, 4, 7])
@pytest.mark.parametrize("radius_m", [1500, 3000, 5000])
def test_the_people_covered_are_as_many_as_spopt_covers(radius_m, facilities):
    distance_m, people = city()
    expected = spopt.MCLP.from_cost_matrix(
        distance_m, people, radius_m, p_facilities=facilities
    ).solve(pulp.HiGHS(msg=False))

    answer = judged_plan(covering(city().demand(), city().within(radius_m), facilities))

    assert answer.objective == pytest.approx(expected.problem.objective.value(), rel=GAP)


@pytest.mark.parametrize("radius_m", [4700, 7000, 8000, 15000])
def test_everybody_is_covered_by_as_few_facilities_as_spopt_needs_and_not_by_fewer(radius_m):
    fewest = spopt.LSCP.from_cost_matrix(city().distance_m, radius_m).solve(pulp.HiGHS(msg=False))
    count = round(fewest.problem.objective.value())
    demand, within = city().demand(), city().within(radius_m)

    enough = judged_plan(covering(demand, within, count, floor=1.0))
    too_few = judged_plan(covering(demand, within, count - 1, floor=1.0))

    assert enough.objective == pytest.approx(sum(demand.values()), rel=GAP)
    assert too_few.status == "infeasible"


def test_within_a_radius_that_leaves_a_tract_out_no_number_of_facilities_is_enough():
    # The tract that is furthest from its nearest shop is 4 645 m away.
    answer = judged_plan(covering(city().demand(), city().within(4600), 16, floor=1.0))

    assert answer.status == "infeasible"
