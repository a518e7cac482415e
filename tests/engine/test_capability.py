"""Which needs, methods and tests each site meets, as arrays; the arrays of a case."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engine.capability import Situation
from planner.engine.matching import Verdict
from planner.engine.tables import case_tables, distinct_rows
from tests.factories.cases import (
    case,
    device_model,
    infrastructure,
    lab_test,
    link,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)

MET, UNKNOWN, NOT_MET = Verdict.MET, Verdict.UNKNOWN, Verdict.NOT_MET
FINE = need("microscope", na={"min": 1.25})


def situation(*methods, **given) -> Situation:
    """Three models of microscope: fine, coarse, and one of unknown aperture."""
    models = [
        device_model("fine", serves("microscope", na=1.25)),
        device_model("coarse", serves("microscope", na=1.24)),
        device_model("silent", serves("microscope")),
        device_model("bath", serves("bath")),
    ]
    values = {"device_models": models, "tests": [lab_test("film")], "methods": methods}
    return Situation.of(case(**{**values, **given}))


@pytest.mark.parametrize(
    ("held", "verdict"),
    [
        (["fine"], MET),
        (["coarse"], NOT_MET),
        (["silent"], UNKNOWN),
        (["coarse", "silent"], UNKNOWN),
        (["silent", "fine"], MET),
        ([], NOT_MET),
    ],
)
def test_a_need_is_as_good_as_the_best_working_unit_on_site(held, verdict):
    units = [stock("hill", code, working=1) for code in held]

    found = situation(method("smear", "film", FINE), stock=units).capability

    assert (found.needs.tolist(), found.methods.tolist(), found.tests.tolist()) == (
        [[verdict]],
        [[verdict]],
        [[verdict]],
    )


@pytest.mark.parametrize(
    ("held", "verdict"),
    [
        (["fine", "bath"], MET),
        (["silent", "bath"], UNKNOWN),
        (["silent"], NOT_MET),
        (["fine"], NOT_MET),
    ],
)
def test_a_method_is_as_good_as_the_worst_of_its_needs(held, verdict):
    units = [stock("hill", code, working=1) for code in held]

    found = situation(method("smear", "film", FINE, need("bath")), stock=units).capability

    assert found.methods.tolist() == [[verdict]]


def test_one_unit_meets_needs_of_several_methods():
    found = situation(
        method("smear", "film", FINE),
        method("coarse", "film", need("microscope", na={"min": 0.65})),
        stock=[stock("hill", "fine", working=1)],
    ).capability

    assert found.methods.tolist() == [[MET, MET]]


def test_a_test_is_as_good_as_its_best_method_and_names_the_best_that_runs():
    found = situation(
        method("smear", "film", FINE, sensitivity=0.9),
        method("look", "film", sensitivity=0.4),
        method("quick", "film", sensitivity=0.5),
        stock=[stock("hill", "silent", working=1)],
    ).capability

    assert (found.tests.tolist(), found.best_method.tolist()) == ([[MET]], [[2]])


def test_a_test_that_does_not_run_has_no_best_method():
    found = situation(
        method("smear", "film", FINE),
        tests=[lab_test("film"), lab_test("alone")],
        stock=[stock("hill", "silent", working=1)],
    ).capability

    assert (found.tests.tolist(), found.best_method.tolist()) == ([[UNKNOWN, NOT_MET]], [[-1, -1]])


def test_the_tables_hold_the_facts_in_the_order_of_the_case():
    tables = case_tables(
        case(
            skills=[skill("optics"), skill("spinning")],
            infrastructure=[infrastructure("power", cost={"1": 140, "2": 90})],
            device_models=[device_model("a"), device_model("b")],
            tests=[lab_test("film", max_transport_hours=4), lab_test("clot")],
            methods=[
                method("x", "clot", skills=["spinning"], sensitivity=0.5),
                method("y", "film", infrastructure=["power"], sensitivity=0.6),
            ],
            sites=[
                site("hill", level=2, skills=["spinning"], demand={"clot": 3}),
                site("town", level=3, infrastructure=["power"], demand={"film": 5, "clot": 7}),
            ],
            stock=[stock("town", "b", working=2), stock("hill", "a", broken=1)],
        )
    )

    assert tables.working.tolist() == [[False, False], [False, True]]
    assert tables.broken.tolist() == [[True, False], [False, False]]
    assert tables.skills.tolist() == [[False, True], [False, False]]
    assert tables.infrastructure.tolist() == [[False], [True]]
    assert tables.provide_cost.tolist() == [[90.0], [np.inf]]
    assert tables.demand.tolist() == [[0.0, 3.0], [5.0, 7.0]]
    assert tables.max_transport_hours.tolist() == [4.0, -np.inf]
    assert tables.method_test.tolist() == [1, 0]
    assert tables.method_skills.tolist() == [[False, True], [False, False]]
    assert tables.method_infrastructure.tolist() == [[False], [True]]
    assert tables.best_first.tolist() == [1, 0]


def test_links_stand_by_origin_then_cost_then_hours_then_code_of_the_destination():
    links = [
        link("town", "hill", hours=1, cost=1),
        link("hill", "wood", hours=2, cost=1),
        link("hill", "town", hours=1, cost=2),
        link("hill", "mill", hours=2, cost=1),
        link("hill", "port", hours=1, cost=1),
    ]
    codes = ["hill", "wood", "town", "mill", "port"]

    found = case_tables(case(sites=[site(code) for code in codes], links=links)).links

    assert [codes[to] for to in found.to] == ["port", "mill", "wood", "town", "hill"]
    assert (found.origin.tolist(), found.cost.tolist(), found.hours.tolist()) == (
        [0, 0, 0, 0, 2],
        [1, 1, 1, 2, 1],
        [1, 2, 2, 1, 1],
    )


small_or_huge = st.sampled_from([0, 1, 2, 2**40])


@given(st.integers(0, 3).flatmap(
    lambda width: st.lists(st.lists(small_or_huge, min_size=width, max_size=width), max_size=8)
    .map(lambda rows: np.array(rows, dtype=np.int64).reshape(len(rows), width))
))  # fmt: skip
def test_rows_are_grouped_exactly_where_they_agree_in_every_column(rows):
    first, group = distinct_rows(list(rows.T), len(rows))

    assert np.array_equal(rows[first][group], rows)
    assert len(first) == len({tuple(row) for row in rows.tolist()})
