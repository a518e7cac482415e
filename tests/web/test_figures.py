import pytest

from apps.web.figures import figures, gap_text, money_text, percent_text, points_text

NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("amount", "text"),
    [(25000, "USD 25,000"), (0.4, "USD 0.40"), (99.5, "USD 99.50"), (100.5, "USD 101"),
     (7, "USD 7"), (1234567.891, "USD 1,234,568")],
)  # fmt: skip
def test_money_is_grouped_and_keeps_decimals_only_where_they_matter(amount, text):
    assert money_text(amount, "USD") == text.replace(" ", NBSP)


def test_per_cent_has_the_places_asked_for():
    assert (percent_text(0.634), percent_text(0.634, 1)) == (f"63{NBSP}%", f"63.4{NBSP}%")


@pytest.mark.parametrize(
    ("number", "places", "text"), [(2.5, 0, "3"), (0.255, 2, "0.26"), (1e6, 0, "1,000,000")]
)
def test_halves_are_rounded_up(number, places, text):
    assert figures(number, places) == text


@pytest.mark.parametrize(
    ("change", "text"),
    [
        (0.249, "+24.9"),
        (-0.02, "\N{MINUS SIGN}2.0"),
        (0.0, "0.0"),
        (-0.0004, "0.0"),
        (0.0005, "+0.1"),
    ],
)
def test_a_change_has_its_sign_unless_it_rounds_to_nothing(change, text):
    assert points_text(change) == text


@pytest.mark.parametrize(
    ("gap", "text"),
    [(0.00009, f"less than 0.01{NBSP}%"), (0.0001, f"0.01{NBSP}%"), (0.0099, f"0.99{NBSP}%"),
     (0.01, f"1.0{NBSP}%"), (0.1111, f"11.2{NBSP}%"),
     (0.00501, f"0.51{NBSP}%")],
)  # fmt: skip
def test_a_gap_has_more_places_the_smaller_it_is_and_never_claims_more_than_was_proven(gap, text):
    assert gap_text(gap) == text
