"""The tables of the register that a file may fill: what people call them and their columns."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from django.db.models import Field, ForeignKey, Model

from apps.facilities.models import Area, Facility
from apps.imports.adapters import register
from apps.imports.adapters.geometry import GeometryError, outline
from apps.imports.adapters.identifiers import IDENTIFIERS
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import Sheet


@dataclass(frozen=True)
class RegisterTable:
    """One table. ``places``: the fields that say where a row belongs; it must be one's own.

    ``titles``: columns that people call otherwise than the model does. ``unfilled``: the
    columns that say nothing as long as the others are empty, so that a prepared line which
    nobody filled in is no row.
    """

    sheet: Sheet
    title: str
    places: tuple[str, ...]
    titles: Mapping[str, str] = field(default_factory=dict)
    unfilled: frozenset[str] = frozenset()

    @property
    def file(self) -> str:
        return self.sheet.file

    @cached_property
    def fields(self) -> dict[str, Field]:
        """Column to field of the model, in the order of the sheet."""
        return {name: self.sheet.model._meta.get_field(name) for name in self.sheet.columns}

    def heading(self, column: str) -> str:
        """What the column is called in a workbook and on pages."""
        if column in self.titles:
            return self.titles[column]
        name = str(self.fields[column].verbose_name)
        return name[:1].upper() + name[1:]

    @cached_property
    def columns_by_heading(self) -> dict[str, str]:
        """Headings in small letters, and the columns' own names, to columns."""
        named = {column: column for column in self.sheet.columns}
        return {self.heading(column).casefold(): column for column in self.sheet.columns} | named

    def places_of(
        self, row: Mapping[str, Any], known: Known
    ) -> list[tuple[type[Model], int | None]]:
        """Where ``row`` belongs: an area or a site of which no more is said, to itself."""
        named = [name for name in self.places if name in row]
        places = [(self.fields[name].related_model, row[name]) for name in named]
        model = self.sheet.model
        if model in (Area, Facility) and all(pk is None for _, pk in places):
            places.append((model, known.of(model).get((row["code"],))))
        return places

    def in_words(self, column: str, kept: Any) -> str:
        """A kept value as a person reads it; nothing is empty text."""
        if kept is None:
            return ""
        if column == OUTLINE:
            return f"{len(outline(kept).corners)} corners"
        choices = dict(self.fields[column].flatchoices)
        if kept in choices:
            return str(choices[kept]) if kept != "" else ""
        return f"{kept:.12g}" if isinstance(kept, float) else str(kept)


def is_reference(each: Field) -> bool:
    return isinstance(each, ForeignKey)


SITE = {"facility": "Facility"}
KNOWN_BY = {
    "observed_on": "Seen on",
    "basis": "How it is known",
    "observer": "Who saw it, by training",
}
SAYS_NOTHING = frozenset({"basis", "observed_on", "observer", "year", "origin"})

OUTLINE = "outline"


def check_drawn_area(row: Mapping[str, Any], known: Known) -> Iterator[str]:
    yield from register.check_area(row, known)
    if row.get(OUTLINE) is not None:
        try:
            outline(row[OUTLINE])
        except GeometryError as error:
            yield f"outline {error}"


_SHEETS = {sheet.file: sheet for sheet in register.SHEETS}
# Folders keep outlines in a file of their own; what is uploaded may say both at once.
_AREAS = replace(
    _SHEETS["areas.csv"],
    columns=(*_SHEETS["areas.csv"].columns, OUTLINE),
    check=check_drawn_area,
    optional=frozenset({OUTLINE}),
)
_TABLES = (
    RegisterTable(_AREAS, "Areas", ("parent",), {"parent": "Lies in"}),
    RegisterTable(
        _SHEETS["facilities.csv"],
        "Facilities",
        ("area",),
        {
            "population": "People in the catchment",
            "testing_hours_per_year": "Staff hours for testing a year",
            "power_source": "Power",
            "power_hours_per_day": "Hours of power a day",
            **KNOWN_BY,
        },
    ),
    RegisterTable(_SHEETS["routes.csv"], "Specimen routes", ("origin",)),
    RegisterTable(_SHEETS["travel_times.csv"], "Travel times", ("origin",)),
    RegisterTable(
        _SHEETS["equipment.csv"],
        "Equipment",
        ("facility",),
        {"code": "Inventory number", **KNOWN_BY},
    ),
    RegisterTable(
        _SHEETS["skills_held.csv"],
        "Skills",
        ("facility",),
        {"staff_count": "People who hold it", "last_trained_on": "Last trained on", **KNOWN_BY},
        SAYS_NOTHING,
    ),
    RegisterTable(
        _SHEETS["staff_held.csv"],
        "Staff",
        ("facility",),
        {
            "staff_count": "People",
            "testing_hours_per_week": "Hours for testing a week, of each",
            **KNOWN_BY,
        },
        SAYS_NOTHING,
    ),
    RegisterTable(
        _SHEETS["consumables_held.csv"], "Days of stock", ("facility",), KNOWN_BY, SAYS_NOTHING
    ),
    RegisterTable(_SHEETS["service_log.csv"], "Service log", ("item",)),
    RegisterTable(_SHEETS["moves.csv"], "Moves of devices", ("item",)),
    RegisterTable(
        _SHEETS["infrastructure_held.csv"],
        "Infrastructure",
        ("facility",),
        {"presence": "Is it there?", **KNOWN_BY},
        SAYS_NOTHING,
    ),
    RegisterTable(
        _SHEETS["demand.csv"],
        "Demand",
        ("facility",),
        {"tests_per_year": "Tests needed a year", "basis": "How it was found"},
        SAYS_NOTHING,
    ),
    RegisterTable(
        _SHEETS["service_statistics.csv"],
        "Service statistics",
        ("facility",),
        {
            "recorded_tests": "Tests recorded in the year",
            "completeness_share": "Share of reports that came in",
            "days_without": "Days without the test",
            "origin": "How it is known",
        },
        SAYS_NOTHING,
    ),
    RegisterTable(
        _SHEETS["consumption.csv"],
        "Consumption",
        ("facility",),
        {"period_months": "Months counted", "origin": "How it is known"},
        SAYS_NOTHING,
    ),
    RegisterTable(_SHEETS["morbidity_rates.csv"], "Morbidity rates", ("area",)),
    RegisterTable(_SHEETS["prevalences.csv"], "Prevalences", ("area", "facility")),
    RegisterTable(IDENTIFIERS, "Names of sites in other registers", ("facility",)),
)
TABLES: dict[str, RegisterTable] = {table.file: table for table in _TABLES}
"""Every table by the name of its file, in the order in which they build on each other."""

SURVEYED = (
    "facilities.csv",
    "equipment.csv",
    "staff_held.csv",
    "skills_held.csv",
    "consumables_held.csv",
    "infrastructure_held.csv",
    "demand.csv",
    "service_statistics.csv",
)
"""The tables of a survey workbook."""
