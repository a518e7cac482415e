import pytest

from apps.web.amounts import coarse_text, count_text, hours_text, km_text, range_text, share_text


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.95, "95 %"),
        (0.952, "95.2 %"),
        (1.0, "100 %"),
        (0.0005, "0.1 %"),
        (0.0004, "under 0.1 %"),
        (0, "0 %"),
    ],
)
def test_a_share_has_a_decimal_only_where_there_is_one(share, text):
    assert plain(share_text(share)) == text


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.7112, "71 %"), (0.0449, "4.5 %"), (0.05, "5 %"), (0.985, "99 %"), (0.9961, "99.6 %")],
)
def test_a_worked_out_share_is_coarse_but_near_none_and_near_all(share, text):
    assert plain(coarse_text(share)) == text


@pytest.mark.parametrize(
    ("low", "high", "text"), [(0.68, 0.88, "68–88 %"), (None, 0.9, ""), (0.1, None, "")]
)
def test_a_range_has_both_ends_or_is_not_shown(low, high, text):
    assert plain(range_text(low, high)) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.049, "under 0.1"), (0.05, "0.1"), (9.94, "9.9"), (10, "10"), (82.9, "83")],
)
def test_a_count_is_rounded_to_what_it_can_bear(number, text):
    assert count_text(number) == text


@pytest.mark.parametrize(
    ("hours", "text"), [(0.58, "35 min"), (1, "1 h"), (6.6, "6.6 h"), (24.0, "24 h"), (0, "0 min")]
)
def test_hours_are_minutes_below_one(hours, text):
    assert plain(hours_text(hours)) == text


@pytest.mark.parametrize(("km", "text"), [(3.44, "3.4 km"), (99.96, "100.0 km"), (123.4, "123 km")])
def test_kilometres_lose_their_decimal_from_a_hundred_on(km, text):
    assert plain(km_text(km)) == text
