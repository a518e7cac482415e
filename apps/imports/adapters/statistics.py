"""The files that demand is estimated from: what was recorded, what was used up, how often
people fall ill."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from apps.demand.models import ConsumptionRecord, MorbidityRate, ServiceStatistic
from apps.demand.models.counted import DAYS_IN_LONGEST_MONTH
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import SOURCED, Sheet

PLACE = ("test", "level", "area")


def check_consumption(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    most = row["period_months"] * DAYS_IN_LONGEST_MONTH
    if row["days_out_of_stock"] > most:
        yield (
            f"days_out_of_stock is {row['days_out_of_stock']}, expected at most the days of"
            f" {row['period_months']:g} months."
        )


def check_rates(
    rows: Sequence[tuple[int, Mapping[str, Any]]], known: Known
) -> Iterator[tuple[int, str]]:
    """A test has one rate for a level in an area, whatever its code."""
    in_file = {row["code"] for _, row in rows}
    taken = {
        tuple(known.fact(MorbidityRate, pk, name) for name in PLACE): code
        for (code,), pk in known.of(MorbidityRate).items()
        if pk is not None and code not in in_file
    }
    for line, row in rows:
        place = tuple(row[name] for name in PLACE)
        if (other := taken.setdefault(place, row["code"])) != row["code"]:
            yield line, f"the test has a rate there already, {other}. Keep one of the two."


STATISTICS = Sheet(
    "service_statistics.csv",
    ServiceStatistic,
    ("facility", "test", "year", "recorded_tests", "completeness_share", "days_without", "origin"),
    key=("facility", "test", "year"),
)
CONSUMPTION = Sheet(
    "consumption.csv",
    ConsumptionRecord,
    ("facility", "test", "year", "consumable", "period_months", "units_used",
     "days_out_of_stock", "tests_per_unit", "origin"),
    key=("facility", "test", "year"),
    check=check_consumption,
)  # fmt: skip
RATES = Sheet(
    "morbidity_rates.csv",
    MorbidityRate,
    ("code", "test", "level", "area", "episodes_per_person_year", "care_seeking_share",
     "eligible_share", "tests_per_episode", *SOURCED),
    check_all=check_rates,
)  # fmt: skip
