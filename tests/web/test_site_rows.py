from types import SimpleNamespace

import pytest

from apps.web.site_rows import site_rows


def facility(pk, name, *, level=1, population=100, block="North"):
    place = {"latitude": 0.0, "longitude": 30.0}
    return SimpleNamespace(
        pk=pk,
        code=name.lower(),
        name=name,
        level=level,
        population=population,
        area=SimpleNamespace(name=block),
        **place,
    )


SITES = [
    facility(1, "Ash", level=3, population=None),
    facility(2, "Birch", level=1, population=500),
    facility(3, "Cedar", level=1, population=200, block="East"),
]
TALLIES = {1: {"runs": 1, "blocked": 3}, 2: {"runs": 2, "unknown": 1, "not_expected": 9}}


def order(sort):
    return [row.facility.name for row in site_rows(SITES, TALLIES, order=sort)]


@pytest.mark.parametrize(
    ("sort", "names"),
    [
        ("", ["Ash", "Birch", "Cedar"]),
        ("-name", ["Cedar", "Birch", "Ash"]),
        ("block", ["Cedar", "Ash", "Birch"]),
        ("level", ["Birch", "Cedar", "Ash"]),
        ("-people", ["Birch", "Cedar", "Ash"]),
        ("people", ["Ash", "Cedar", "Birch"]),
        ("-share", ["Birch", "Ash", "Cedar"]),
        ("no-such-order", ["Ash", "Birch", "Cedar"]),
    ],
)
def test_rows_come_in_the_order_asked_for_and_else_by_name(sort, names):
    assert order(sort) == names


def test_what_is_not_expected_is_no_part_of_the_share():
    rows = site_rows(SITES, TALLIES, order="")

    assert [(row.can, row.expected) for row in rows] == [(1, 4), (2, 3), (0, 0)]
