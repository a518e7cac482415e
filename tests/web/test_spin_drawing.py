"""The drawing of force over radius, by hand-checked geometry."""

from itertools import combinations, pairwise

import pytest

from apps.web.spin_drawing import draw_spin, force_table
from apps.web.spin_marks import BOTTOM, LEFT, RIGHT, TOP, Band, Spot

SERUM = Band("A", 1000, 2000, "met")
URINE = Band("B", 360, 480, "unknown")


def corners(path: str) -> list[tuple[float, float]]:
    pairs = path.strip("M").split(" ")
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in pairs)]


def height_of(drawing, force: str) -> float:
    return next(tick.at for tick in drawing.force_ticks if tick.label == force)


def test_a_claim_lies_on_the_curve_of_its_speed_and_on_the_line_of_its_force():
    # 3000 rpm at 15 cm give 1509.6 g (rotor tables print 1509)
    drawing = draw_spin([SERUM], [Spot("sound", 15, 1509.6)], speed=3000, force=1509.6)

    [mark] = drawing.marks
    curve = corners(next(line for line in drawing.lines if line.claimed).path)
    before, after = next(pair for pair in pairwise(curve) if pair[0][0] <= mark.x <= pair[1][0])
    assert after[1] - 0.5 <= mark.y <= before[1] + 0.5
    assert drawing.level == pytest.approx(mark.y)


def test_ten_times_the_force_is_as_far_anywhere_on_the_scale():
    drawing = draw_spin([SERUM])

    first = height_of(drawing, "100") - height_of(drawing, "1,000")
    second = height_of(drawing, "1,000") - height_of(drawing, "10,000")
    assert first == pytest.approx(second)


def test_a_bar_reaches_from_the_least_to_the_greatest_force():
    [bar] = draw_spin([SERUM]).bars
    drawing = draw_spin([SERUM])

    assert bar.y == pytest.approx(height_of(drawing, "2,000"))
    assert bar.y + bar.height == pytest.approx(height_of(drawing, "1,000"))


def test_a_band_without_an_upper_end_reaches_the_top():
    [bar] = draw_spin([Band("A", 1000, None, "met")]).bars

    assert bar.y == pytest.approx(TOP)


def test_bars_that_overlap_stand_in_lanes_of_their_own():
    drawing = draw_spin([SERUM, URINE, Band("C", 1500, 2000, "met"), Band("D", 1900, 3000, "met")])

    for one, other in combinations(drawing.bars, 2):
        apart = one.y + one.height <= other.y or other.y + other.height <= one.y
        assert apart or one.x != other.x
    assert {bar.band.key for bar in drawing.bars if bar.x == drawing.bars[0].x} == {"A", "B"}


@pytest.mark.parametrize(
    ("radius_cm", "widest"), [(0.17, "0.2"), (1.0, "2"), (9, "20"), (16, "20"), (40, "50")]
)
def test_the_scale_of_radius_is_as_wide_as_the_claim_needs(radius_cm, widest):
    drawing = draw_spin([SERUM], [Spot("sound", radius_cm, 1000)])

    assert drawing.radius_ticks[-1].label == widest
    assert LEFT < drawing.marks[0].x < RIGHT


@pytest.mark.parametrize("force", [3, 30_000, 900_000])
def test_the_scale_of_force_holds_every_claim(force):
    drawing = draw_spin([SERUM], [Spot("sound", 10, force)], force=force)

    assert TOP < drawing.marks[0].y < BOTTOM


def test_names_of_speeds_cover_neither_each_other_nor_the_claim():
    drawing = draw_spin([SERUM], [Spot("sound", 0.1717, 30_000)], speed=125_000, force=30_000)

    rooms = [line.room for line in drawing.lines if line.label]
    assert [one for one, other in combinations(rooms, 2) if one.meets(other)] == []
    assert "125,000" in [line.label for line in drawing.lines]


def test_without_a_claim_only_what_is_needed_is_drawn():
    drawing = draw_spin([SERUM, URINE])

    assert (drawing.marks, drawing.level) == ((), None)
    assert [line for line in drawing.lines if line.claimed] == []


def test_the_table_of_forces_holds_what_rotor_tables_print():
    # 112, 1006, 2795 g at 10 cm: standard rotor tables, from memory; three digits
    assert force_table([1000, 3000, 5000], [10.0]) == [
        ("1,000", ["112"]),
        ("3,000", ["1,010"]),
        ("5,000", ["2,800"]),
    ]
