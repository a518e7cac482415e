"""The CSV files of a folder as plain rows of text, for tests that read the shipped data."""

import csv
import json
from functools import cache
from pathlib import Path
from typing import Any

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
Row = dict[str, str]


@cache
def catalogue(name: str) -> list[Row]:
    """``catalogue("tests")``: the rows of ``fixtures/catalogue/tests.csv``."""
    return rows_of(FIXTURES / "catalogue" / f"{name}.csv")


@cache
def demo(name: str) -> list[Row]:
    return rows_of(FIXTURES / "demo" / f"{name}.csv")


@cache
def outlines() -> dict[str, list[list[float]]]:
    """Area code -> the exterior ring of its polygon."""
    text = (FIXTURES / "demo" / "outlines.geojson").read_text(encoding="utf-8")
    return {
        feature["properties"]["code"]: feature["geometry"]["coordinates"][0]
        for feature in json.loads(text)["features"]
    }


def rows_of(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines, strict=True))


def codes(text: str) -> list[str]:
    """A cell that lists codes, parted by semicolons."""
    return [code for code in text.split(";") if code]


def value(row: Row) -> Any:
    """The JSON value of a specification or a requirement."""
    return json.loads(row["value"])
