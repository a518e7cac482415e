"""The file of expected prevalences."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from apps.demand.models import ExpectedPrevalence
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import SOURCED, Sheet

PLACE = ("test", "area", "facility")


def check_prevalence(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    if row["area"] is not None and row["facility"] is not None:
        yield "area and facility are both named. Leave one empty, or both for everywhere."
    low, share, high = row["low"], row["share"], row["high"]
    if (low is None) != (high is None):
        yield "low and high are the ends of one range. Give both, or neither."
    elif low is not None and not low <= share <= high:
        yield f"share is {share}, expected one from low {low} to high {high}."


def check_prevalences(
    rows: Sequence[tuple[int, Mapping[str, Any]]], known: Known
) -> Iterator[tuple[int, str]]:
    """A test has one prevalence in a place, whatever its code."""
    in_file = {row["code"] for _, row in rows}
    taken = {
        tuple(known.fact(ExpectedPrevalence, pk, name) for name in PLACE): code
        for (code,), pk in known.of(ExpectedPrevalence).items()
        if pk is not None and code not in in_file
    }
    for line, row in rows:
        place = tuple(row[name] for name in PLACE)
        if (other := taken.setdefault(place, row["code"])) != row["code"]:
            yield line, f"the test has a prevalence there already, {other}. Keep one of the two."


PREVALENCES = Sheet(
    "prevalences.csv",
    ExpectedPrevalence,
    ("code", "test", "area", "facility", "share", "low", "high", *SOURCED),
    check=check_prevalence,
    check_all=check_prevalences,
)
