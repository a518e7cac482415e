"""Three estimates of demand for each facility and test, and the one to go by.

Estimating changes nothing: what the planning case uses is the adopted ``Demand``.
"""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from django.utils import timezone

from apps.catalogue.models import LabTest
from apps.demand.models import Demand
from apps.demand.selectors.catchment import people_asking
from apps.demand.selectors.cells import Estimate, Figure
from apps.demand.selectors.figures import Assumptions, Figures, figures_of
from apps.facilities.models import Area, Facility
from apps.facilities.selectors import district_of, facilities_for
from planner.engine import demand


def estimates_in(
    user: Any, district: Area, *, assumptions: Assumptions | None = None
) -> list[Estimate]:
    """All estimates of the facilities of ``district`` that ``user`` may see; ten queries.

    By facility and test in order of code, where anything is known, recorded or adopted.
    ``assumptions``: those of this year, unless given.
    """
    visible = facilities_for(user).within(district.path).order_by("code")
    return list(_estimates(list(visible), district, assumptions))


def estimates_at(
    user: Any, facility: Facility, *, assumptions: Assumptions | None = None
) -> list[Estimate]:
    """The estimates of one facility, by test; none if ``user`` may not see it; twelve queries."""
    visible = facilities_for(user).filter(pk=facility.pk)
    return list(_estimates(list(visible), district_of(facility.area), assumptions))


def _estimates(
    facilities: Sequence[Facility], district: Area, given: Assumptions | None
) -> Iterator[Estimate]:
    assumptions = given or Assumptions(year=timezone.localdate().year)
    tests = list(LabTest.objects.select_related("programme").order_by("code"))
    people = _people(facilities, tests, district)
    figures = figures_of(facilities, tests, people, assumptions)
    chosen = demand.choose(figures.estimates, figures.holds)
    spread = demand.spread(figures.estimates)
    adopted = _adopted(facilities)
    for at, facility in enumerate(facilities):
        for of, test in enumerate(tests):
            said = _figures(figures, at, of)
            held = adopted.get((facility.pk, test.pk))
            if held is None and not any(each.tests_per_year for each in said):
                continue
            yield Estimate(
                facility=facility,
                test=test,
                adopted=held,
                people=_known(people[at, of]),
                figures=said,
                chosen=_by_basis(said, chosen.basis[at, of]),
                is_weak=bool(chosen.weak[at, of]),
                spread=_known(spread[at, of]),
                assumptions=assumptions,
            )


def _people(facilities: Sequence[Facility], tests: Sequence[LabTest], district: Area) -> Any:
    """Of ``facilities``; those of the whole district may send their people."""
    every = list(Facility.objects.within(district.path).open().order_by("code"))
    row = {each.pk: position for position, each in enumerate(every)}
    wanted = np.array([row[each.pk] for each in facilities], dtype=int)
    return people_asking(every, tests, district)[wanted]


def _adopted(facilities: Sequence[Facility]) -> dict[tuple[int, int], Demand]:
    rows = Demand.objects.filter(facility__in=[each.pk for each in facilities])
    return {(row.facility_id, row.test_id): row for row in rows}


def _figures(figures: Figures, at: int, of: int) -> tuple[Figure, ...]:
    return tuple(
        Figure(
            basis=basis,
            tests_per_year=_known(figures.estimates[at, of, number]),
            holds=bool(figures.holds[at, of, number]),
            row=figures.rows[number][at, of],
        )
        for number, basis in enumerate(demand.BASES)
        if (at, of) in figures.rows[number]
    )


def _by_basis(figures: Sequence[Figure], basis: int) -> Figure | None:
    wanted = None if basis == demand.NO_BASIS else demand.BASES[basis]
    return next((each for each in figures if each.basis == wanted), None)


def _known(value: np.float64) -> float | None:
    return None if np.isnan(value) else float(value)
