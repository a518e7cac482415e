from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from apps.web.forms.numbers import FiguresField, plain, plain_percent, share

amount = FiguresField(least=0, most=Decimal("9999999999"), places=2)
count = FiguresField(least=1, most=20)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("25000", Decimal(25000)),
        ("25,000", Decimal(25000)),
        ("25 000.50", Decimal("25000.50")),
        ("25\u202f000", Decimal(25000)),
        ("2,50,000", Decimal(250000)),
        ("1,00,00,000", Decimal(10000000)),
        (" 0 ", Decimal(0)),
        ("12.5", Decimal("12.5")),
    ],
)
def test_figures_grouped_in_a_common_way_are_read(typed, read):
    assert amount.clean(typed) == read


@pytest.mark.parametrize(
    "typed",
    ["1,2,3", "1.234,5", "25,00", "25.000.000", "1,234 567", "1e5", "inf", "nan", "-5", "+5",
     "five", "USD 5", "٥", "1_000", ".5", "5.", "0x10"],
)  # fmt: skip
def test_what_could_be_meant_in_two_ways_or_in_none_is_refused(typed):
    with pytest.raises(ValidationError) as refused:
        amount.clean(typed)

    assert refused.value.messages == [
        f"“{typed}” is not a number this form can read. Write figures with a decimal point,"
        " for example 25000, 25,000 or 12.5."
    ]


def test_more_decimals_than_money_has_are_refused():
    assert amount.clean("0.25") == Decimal("0.25")
    with pytest.raises(
        ValidationError, match=r"^\['Write at most 2 decimals; “0.255” has more.'\]"
    ):
        amount.clean("0.255")


def test_a_broken_count_is_refused():
    with pytest.raises(ValidationError, match=r"^\['Write a whole number; “2.5” is not one.'\]$"):
        count.clean("2.5")


@pytest.mark.parametrize("typed", ["1", "20"])
def test_the_least_and_the_most_themselves_are_allowed(typed):
    assert count.clean(typed) == Decimal(typed)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("0", "Write at least 1; “0” is less."),
        ("21", "Write at most 20; “21” is more."),
    ],
)
def test_one_below_the_least_and_one_above_the_most_are_refused(typed, message):
    with pytest.raises(ValidationError) as refused:
        count.clean(typed)

    assert refused.value.messages == [message]


def test_a_blank_answer_is_none_where_it_may_be_left_blank_and_refused_where_not():
    assert FiguresField(least=0, most=1, required=False).clean("  ") is None
    with pytest.raises(ValidationError, match=r"Write a number\."):
        count.clean("")


def test_per_cent_becomes_a_share_and_blank_becomes_none_of_it():
    assert (share(Decimal("0.1")), share(Decimal(100)), share(None)) == (0.001, 1.0, 0.0)


@pytest.mark.parametrize(
    ("number", "typed"),
    [(Decimal("3000.0000"), "3000"), (12.5, "12.5"), (0, "0"), (None, ""), (1e6, "1000000")],
)
def test_a_number_goes_back_into_the_form_as_it_would_be_typed(number, typed):
    assert plain(number) == typed


def test_a_share_goes_back_into_the_form_as_per_cent_without_the_dust_of_binary_fractions():
    assert [plain_percent(share) for share in (0.07, 0.001, 1.0, 0.0)] == ["7", "0.1", "100", "0"]
