from types import SimpleNamespace

import pytest

from apps.web.grids import blocks, columns, select

MALARIA = SimpleNamespace(code="malaria", name="Malaria", programme_id=1)
FILARIA = SimpleNamespace(code="filaria", name="Filaria", programme_id=1)
UREA = SimpleNamespace(code="urea", name="Urea", programme_id=2)
TESTS = [MALARIA, FILARIA, UREA]
NORTH, SOUTH = SimpleNamespace(name="North"), SimpleNamespace(name="South")


def row(name, area, *states):
    cells = [state and SimpleNamespace(state=state) for state in states]
    facility = SimpleNamespace(code=name.lower(), name=name, area=area)
    return SimpleNamespace(facility=facility, cells=cells)


ROWS = [
    row("Ash", NORTH, "runs", "blocked", "not_expected"),
    row("Malton", SOUTH, "referred", "unknown", None),
]


def test_a_line_parts_programmes_but_does_not_stand_before_the_first():
    assert [column.starts_programme for column in columns(TESTS)] == [False, False, True]


@pytest.mark.parametrize(
    ("text", "tests", "sites"),
    [
        ("", (0, 1, 2), ["Ash", "Malton"]),
        ("UREA", (2,), ["Ash", "Malton"]),
        ("ash", (0, 1, 2), ["Ash"]),
        ("mal", (0,), ["Malton"]),
        ("zinc", (), []),
    ],
)
def test_a_text_narrows_to_the_sites_and_tests_it_names(text, tests, sites):
    selection = select(TESTS, ROWS, text)

    assert selection.tests == tests
    assert [row.facility.name for row in selection.rows] == sites


def test_each_cell_says_its_state_and_leads_to_the_reasons():
    north, south = blocks(select(TESTS, ROWS, ""), TESTS)

    assert (north.name, south.name) == ("North", "South")
    assert north.rows[0].cells == (
        '<td class=r><a href="/sites/ash/#test-malaria">Can run it</a></td>'
        '<td class=b><a href="/sites/ash/#test-filaria">Cannot</a></td>'
        "<td class=n>Not expected here</td>"
    )
    assert south.rows[0].cells == (
        '<td class=f><a href="/sites/malton/#test-malaria">By referral</a></td>'
        '<td class=u><a href="/sites/malton/#test-filaria">Unknown</a></td>'
        "<td class=o>Not worked out</td>"
    )
