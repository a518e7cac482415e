"""The file of what other registers call the sites."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from apps.facilities.models import Facility
from apps.imports.adapters.known import Known
from apps.imports.adapters.sheets import Sheet
from apps.imports.models import SiteIdentifier


def check_identifiers(
    rows: Sequence[tuple[int, Mapping[str, Any]]], known: Known
) -> Iterator[tuple[int, str]]:
    """What another register calls a site is of that site alone."""
    inside = {(row["facility"], row["system"]) for _, row in rows}
    taken = {
        (system, value): facility
        for facility, system, value in SiteIdentifier.objects.values_list(
            "facility", "system", "value"
        )
        if (facility, system) not in inside
    }
    for line, row in rows:
        other = taken.setdefault((row["system"], row["value"]), row["facility"])
        if other != row["facility"]:
            named = known.of(Facility)
            code = next((key[0] for key, pk in named.items() if pk == other), "another site")
            yield line, f"{row['value']} is what {code} is called there. Keep one of the two."


IDENTIFIERS = Sheet(
    "site_identifiers.csv",
    SiteIdentifier,
    ("facility", "system", "value"),
    key=("facility", "system"),
    check_all=check_identifiers,
)
