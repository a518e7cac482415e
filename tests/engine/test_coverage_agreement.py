"""The engine against plain loops over the same cases, and against itself."""

import pytest
from hypothesis import given, settings

from planner.engine.case import Case
from planner.engine.coverage import State, assess
from tests.benchmarks.generator import generate_case
from tests.factories.strategies import cases
from tests.independent.plain_coverage import PlainCoverage, as_plain
from tests.independent.random_cases import random_case


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
