"""Every attribute of the shipped catalogue can be said in words, with its own unit."""

import pytest

from planner.engine.attributes import THIN, attribute_in_words, with_unit
from tests.fixtures_data.tables import catalogue

# How UCUM writes a unit, and how people read it.
READ_AS = {
    "": "",
    "%": "%",
    "/h": "/h",
    "/min": "rpm",
    "1": "",
    "Cel": "°C",
    "L": "L",
    "L/h": "L/h",
    "V": "V",
    "V.A": "VA",
    "W": "W",
    "W.h": "Wh",
    "[g]": "g",
    "cm": "cm",
    "d": "d",
    "deg": "°",
    "g": "g",
    "g/dL": "g/dL",
    "h": "h",
    "m/s": "m/s",
    "mL": "mL",
    "mg/L": "mg/L",
    "min": "min",
    "mm": "mm",
    "mmol/L": "mmol/L",
    "nm": "nm",
    "s": "s",
    "uL": "µL",
    "uS/cm": "µS/cm",
    "um": "µm",
}
ATTRIBUTES = sorted({(row["code"], row["ucum"]) for row in catalogue("attributes")})


def test_there_are_attributes_to_look_at():
    assert len(ATTRIBUTES) > 70


@pytest.mark.parametrize("code", sorted({code for code, _ in ATTRIBUTES}))
def test_an_attribute_of_the_catalogue_has_words(code):
    words = attribute_in_words(code)

    assert words.startswith(f"{code} (")
    assert words.endswith(")")


@pytest.mark.parametrize(("code", "ucum"), ATTRIBUTES)
def test_an_attribute_is_shown_in_the_unit_that_the_catalogue_gives_it(code, ucum):
    shown = with_unit(code, "7")

    assert shown == (f"7{THIN}{READ_AS[ucum]}" if READ_AS[ucum] else "7")
