"""The engine against plain loops over the same cases, and against itself."""

import numpy as np
import pytest
from hypothesis import given, settings

from planner.engine.case import Case
from planner.engine.coverage import (
    Coverage,
    State,
    assess,
)
from tests.benchmarks.generator import generate_case
from tests.factories.strategies import cases
from tests.independent.plain_coverage import PlainCell, PlainCoverage
from tests.independent.random_cases import random_case


def as_plain(coverage: Coverage) -> dict[tuple[str, str], PlainCell]:
    return {
        (row.site, row.test): PlainCell(
            row.state,
            row.method or None,
            row.at or None,
            None if np.isnan(row.fix_cost) else row.fix_cost,
        )
        for row in coverage.table().itertuples()
    }


@given(cases())
@settings(max_examples=200)
def test_plain_loops_over_the_case_find_the_same_cells(drawn: Case):
    assert as_plain(assess(drawn)) == PlainCoverage(drawn).cells()


@pytest.mark.parametrize("seed", range(40))
def test_plain_loops_find_the_same_cells_of_cases_drawn_by_another_hand(seed: int):
    drawn = random_case(seed)

    assert as_plain(assess(drawn)) == PlainCoverage(drawn).cells()


def test_plain_loops_find_the_same_cells_of_an_invented_district():
    drawn = generate_case(sites=60, tests=30, seed=7, hubs_per_site=3)

    assert as_plain(assess(drawn)) == PlainCoverage(drawn).cells()


@given(cases())
def test_each_row_of_the_table_says_what_the_cell_says(drawn: Case):
    coverage = assess(drawn)

    for row in coverage.table().itertuples():
        cell = coverage.cell(row.site, row.test)
        at = cell.site if cell.state is State.RUNS else cell.referral and cell.referral.site
        fix = cell.fix.actions if cell.fix else ()
        assert (row.state, row.method, row.at, row.fix, row.questions) == (
            cell.state,
            cell.method or "",
            at or "",
            "; ".join(f"{action.kind} {action.item}" for action in fix),
            "; ".join(cell.questions),
        )
        if cell.fix:
            assert row.fix_cost == cell.fix.cost
