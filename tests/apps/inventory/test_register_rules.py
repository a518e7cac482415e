"""Rules of the register on plain values, with the days on both sides of each boundary."""

import datetime as dt
from types import SimpleNamespace

import pytest

from apps.inventory.models import EquipmentItem
from apps.inventory.rules import (
    FILE_FIELDS,
    Due,
    Norm,
    completeness,
    due_of,
    is_lapsed,
    is_stale,
    lapses_on,
    wants_refresher,
    yearly_testing_hours,
)

DAY = dt.date(2026, 3, 31)
YEARLY = Norm(12, 12)


def item(**values) -> EquipmentItem:
    return EquipmentItem(condition="in_use", **values)


def staff(count, hours):
    return SimpleNamespace(staff_count=count, testing_hours_per_week=hours)


def held(**values):
    dates = {"last_trained_on": None, "last_supervised_on": None}
    return SimpleNamespace(**{"staff_count": 1, **dates, **values})


def test_hours_for_testing_are_people_times_hours_a_week_times_44_weeks():
    assert yearly_testing_hours([staff(2, 10), staff(1, 5)]) == 1100


def test_hours_are_not_known_where_somebody_is_there_whose_hours_nobody_counted():
    assert yearly_testing_hours([staff(2, 10), staff(1, None)]) is None


def test_a_cadre_of_which_nobody_is_there_needs_no_hours():
    assert yearly_testing_hours([staff(2, 10), staff(0, None)]) == 880


def test_hours_of_a_site_where_nobody_was_counted_are_not_known():
    assert yearly_testing_hours([]) is None


def test_a_skill_holds_to_the_end_of_its_last_day_and_not_a_day_longer():
    trained = dt.date(2024, 3, 31)

    assert lapses_on(trained, 24) == DAY
    assert is_lapsed(trained, 24, DAY) is False
    assert is_lapsed(trained, 24, DAY + dt.timedelta(days=1)) is True


@pytest.mark.parametrize(("trained", "months"), [(None, 24), (dt.date(2001, 1, 1), None)])
def test_a_skill_without_a_day_of_training_or_an_interval_never_lapses(trained, months):
    assert is_lapsed(trained, months, DAY) is False


def test_a_refresher_is_wanted_24_months_after_training_and_supervision():
    two_years_ago = dt.date(2024, 3, 31)

    assert wants_refresher(held(last_trained_on=two_years_ago), DAY) is False
    assert wants_refresher(held(last_trained_on=two_years_ago - dt.timedelta(days=1)), DAY) is True
    supervised = held(last_trained_on=dt.date(2019, 1, 1), last_supervised_on=two_years_ago)
    assert wants_refresher(supervised, DAY) is False
    assert wants_refresher(held(), DAY) is False


def test_a_fact_is_stale_after_a_year_and_a_shelf_after_31_days():
    assert is_stale(dt.date(2025, 3, 31), DAY) is False
    assert is_stale(dt.date(2025, 3, 30), DAY) is True
    assert is_stale(None, DAY) is True
    assert is_stale(dt.date(2026, 2, 28), DAY, 31) is False
    assert is_stale(dt.date(2026, 2, 27), DAY, 31) is True


def test_without_a_stated_day_the_interval_of_the_class_counts_from_the_last_time():
    [due] = due_of(item(last_calibrated_on=dt.date(2025, 3, 1)), YEARLY, None, None)

    assert due == Due("calibration", dt.date(2026, 3, 1), dt.date(2025, 3, 1), YEARLY)
    assert due.days_over(DAY) == 30


def test_a_verification_that_was_passed_is_a_calibration_as_well():
    [due] = due_of(item(last_calibrated_on=dt.date(2024, 1, 1)), YEARLY, None, dt.date(2026, 1, 9))

    assert (due.on, due.last) == (dt.date(2027, 1, 9), dt.date(2026, 1, 9))


def test_a_stated_day_counts_before_one_that_is_worked_out():
    stated = dt.date(2026, 5, 1)
    device = item(last_calibrated_on=dt.date(2025, 3, 1), calibration_due_on=stated)

    assert due_of(device, YEARLY, None, None) == [Due("calibration", stated, dt.date(2025, 3, 1))]


def test_a_stated_day_that_the_work_has_overtaken_counts_no_more():
    device = item(last_calibrated_on=DAY, calibration_due_on=dt.date(2025, 12, 1))

    [due] = due_of(device, YEARLY, None, None)

    assert due.on == dt.date(2027, 3, 31)


def test_what_was_never_done_is_due_on_no_known_day():
    assert due_of(item(), YEARLY, None, None) == [Due("calibration", None, None, YEARLY)]


def test_nothing_is_due_without_an_interval_or_a_stated_day():
    assert due_of(item(last_calibrated_on=dt.date(2001, 1, 1)), None, None, None) == []


def test_a_file_of_which_only_the_condition_is_known_has_one_field_of_the_list():
    found = completeness(item())

    assert (found.known, found.of) == (1, 23)
    assert set(found.missing) == set(FILE_FIELDS) - {"condition"}


def test_a_no_is_known_and_a_condition_not_known_is_not():
    device = EquipmentItem(condition="unknown", instructions_held="no", purchase_cost=0)

    assert completeness(device).known == 2
