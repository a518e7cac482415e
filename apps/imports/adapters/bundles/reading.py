"""A FHIR bundle as rows of the register's tables; what has no place there is told of."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.checking import faults_of
from apps.imports.adapters.bundles.gathering import Gathered
from apps.imports.adapters.bundles.offers import Offers
from apps.imports.adapters.bundles.resources import (
    Codes,
    Entry,
    entries_of,
    mcsd_type,
    referred,
)
from apps.imports.adapters.bundles.sites import Places
from apps.imports.adapters.json_files import json_object
from apps.imports.adapters.sources import Fault, RefusedFileError, Source
from apps.imports.models import SiteIdentifier

READ = ("Location", "Organization", "HealthcareService", "Device")
NOTHING_FOR_US = (
    "Export Location, Organization, HealthcareService or Device resources, and upload that."
)


def read_fhir(name: str, content: bytes, how: Mapping[str, Any]) -> Source:
    """Areas, sites, infrastructure, devices and identifiers of the bundle ``content``.

    Rows are counted as entries, from 1. Resources and elements that the register has no
    place for are named in the notes. ``how["area"]``: the area that the file is for.

    Raises ``RefusedFileError`` for what is no bundle.
    """
    entries, addresses = entries_of(name, json_object(name, content))
    gathered = Gathered(str(how["area"]))
    usable = [entry for entry in entries if entry.kind in READ and entry.method != "DELETE"]
    _tell_of_the_rest(entries, gathered)
    if not usable:
        raise RefusedFileError(f"{name} has no resource that is read here.", remedy=NOTHING_FOR_US)
    remembered = {
        (system, value): code
        for system, value, code in SiteIdentifier.objects.values_list(
            "system", "value", "facility__code"
        )
    }
    codes = Codes(remembered)
    places = Places(codes, addresses, gathered)
    offers = Offers(codes, addresses, gathered)
    paired = {
        id(each)
        for entry in usable
        if entry.kind == "Location"
        and (each := places.entry_of(referred(entry.resource, "managingOrganization")))
    }
    for entry in usable:
        _translate(entry, places, offers, paired, gathered)
    for value, code in codes.respelled.items():
        gathered.note(f"{value} is written {code} here: codes have small letters and hyphens.")
    return Source(gathered.sheets(), notes=gathered.notes)


def _translate(
    entry: Entry, places: Places, offers: Offers, paired: set[int], gathered: Gathered
) -> None:
    faults = faults_of(entry.resource)
    if entry.resource.get("status") == "entered-in-error":
        faults.append(
            Fault("status", "entered-in-error", "says that this was never so",
                  "Leave the entry out; remove the row by hand where it is in the register.")
        )  # fmt: skip
    match entry.kind, mcsd_type(entry.resource):
        case "Location", names.JURISDICTION:
            places.area(entry, faults)
        case "Location", _:
            places.site(entry, faults)
        case "HealthcareService", _:
            offers.service(entry, faults)
        case "Device", _:
            offers.device(entry, faults)
        case "Organization", _ if id(entry) not in paired:
            called = entry.resource.get("name") or f"entry {entry.line}"
            gathered.note(f"The Organization {called} has no Location, so it is no site here.")


def _tell_of_the_rest(entries: list[Entry], gathered: Gathered) -> None:
    if gone := [str(entry.line) for entry in entries if entry.method == "DELETE"]:
        gathered.note(
            f"Entries {', '.join(gone)} ask for a deletion. Nothing is removed by an upload."
        )
    others = Counter(
        entry.kind for entry in entries if entry.kind not in READ and entry.method != "DELETE"
    )
    if others:
        told = ", ".join(f"{count} {kind}" for kind, count in sorted(others.items()))
        gathered.note(f"Resources that are not read here: {told}.")
