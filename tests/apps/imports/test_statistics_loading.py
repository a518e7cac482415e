"""Service statistics, consumption and rates as files: loaded whole, mistakes by file and line."""

import pytest

from apps.demand.models import ConsumptionRecord, MorbidityRate, ServiceStatistic
from apps.imports.services import LoadError, load_catalogue, load_register
from tests.apps.imports.folders import CATALOGUE, HEAD, REGISTER, SOURCED, write_folder

STATISTICS = (
    "facility,test,year,recorded_tests,completeness_share,days_without,origin\n"
    "hill,haematocrit,2025,480,0.9,12,reported\n"
)
CONSUMPTION = (
    "facility,test,year,consumable,period_months,units_used,days_out_of_stock,tests_per_unit,"
    "origin\nhill,haematocrit,2025,capillaries,12,5,61,100,observed\n"
)
RATES = (
    "code,test,level,area,episodes_per_person_year,care_seeking_share,eligible_share,"
    f"tests_per_episode,{HEAD}\n"
    f"haematocrit,haematocrit,,,0.5,0.6,0.4,1,{SOURCED}\n"
    f"haematocrit-upper,haematocrit,2,upper,0.6,0.6,0.4,1,{SOURCED}\n"
)


@pytest.fixture
def folder(db, tmp_path):
    load_catalogue(folder=write_folder(tmp_path / "catalogue", CATALOGUE), by=None)
    return tmp_path / "register"


def written(folder, **files: str):
    whole = {"service_statistics": STATISTICS, "consumption": CONSUMPTION}
    return write_folder(folder, REGISTER, **{**whole, "morbidity_rates": RATES, **files})


def problems(folder) -> list[str]:
    with pytest.raises(LoadError) as refusal:
        load_register(folder=folder, by=None)
    return [str(problem) for problem in refusal.value.problems]


def test_what_was_counted_comes_in_as_the_files_say(folder):
    load_register(folder=written(folder), by=None)

    statistic = ServiceStatistic.objects.get()
    assert (statistic.facility.code, statistic.recorded_tests, statistic.days_without) == (
        "hill", 480, 12,
    )  # fmt: skip
    used = ConsumptionRecord.objects.get()
    assert (used.consumable, used.units_used, used.tests_per_unit) == ("capillaries", 5, 100)
    rates = MorbidityRate.objects.values_list("code", "level", "area__code")
    assert list(rates) == [("haematocrit", None, None), ("haematocrit-upper", 2, "upper")]


def test_the_same_files_again_change_nothing(folder):
    load_register(folder=written(folder), by=None)

    assert load_register(folder=written(folder), by=None).nothing_changed


def test_a_later_year_stands_beside_the_earlier(folder):
    load_register(folder=written(folder), by=None)
    later = STATISTICS + "hill,haematocrit,2026,500,1,0,reported\n"

    load_register(folder=written(folder, service_statistics=later), by=None)

    years = ServiceStatistic.objects.values_list("year", "recorded_tests")
    assert list(years) == [(2026, 500), (2025, 480)]


@pytest.mark.parametrize(
    ("file", "wrong", "right", "said"),
    [
        ("service_statistics", "0.9,12", "90,12",
         'service_statistics.csv:2: completeness_share is "90", expected a number from 0 to 1.'),
        ("service_statistics", "0.9,12", "0.9,367",
         'service_statistics.csv:2: days_without is "367", expected a whole number from 0 to 366.'),
        ("service_statistics", "480", "-1",
         'service_statistics.csv:2: recorded_tests is "-1", expected a number, 0 or more.'),
        ("consumption", "12,5,61", "12,5,373",
         "consumption.csv:2: days_out_of_stock is 373, expected at most the days of 12 months."),
        ("consumption", "61,100", "61,0",
         'consumption.csv:2: tests_per_unit is "0", expected a number from 0.001 to 1000000.'),
        ("morbidity_rates", "2,upper,0.6", ",,0.6",
         "morbidity_rates.csv:3: the test has a rate there already, haematocrit. Keep one of the"
         " two."),
        ("morbidity_rates", ",,0.5,0.6", ",,0.5,60",
         'morbidity_rates.csv:2: care_seeking_share is "60", expected a number from 0 to 1.'),
    ],
)  # fmt: skip
def test_a_figure_that_cannot_be_is_refused_at_its_line(folder, file, wrong, right, said):
    content = {"service_statistics": STATISTICS, "consumption": CONSUMPTION}
    text = {**content, "morbidity_rates": RATES}[file]

    found = problems(written(folder, **{file: text.replace(wrong, right)}))

    assert found == [said]
    assert not ServiceStatistic.objects.exists()


def test_a_year_out_of_stock_is_possible_and_a_day_more_than_that_is_not(folder):
    most = CONSUMPTION.replace("12,5,61", "12,5,372")

    load_register(folder=written(folder, consumption=most), by=None)

    assert ConsumptionRecord.objects.get().days_out_of_stock == 372


def test_a_rate_under_another_code_is_refused_where_the_test_has_one(folder):
    load_register(folder=written(folder), by=None)
    renamed = RATES.replace("haematocrit-upper", "other")

    assert problems(written(folder, morbidity_rates=renamed)) == [
        "morbidity_rates.csv:3: the test has a rate there already, haematocrit-upper."
        " Keep one of the two."
    ]
