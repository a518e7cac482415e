"""What every resource of a bundle has: a name, extensions, and elements that have no place here."""

from collections.abc import Mapping
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.gathering import SITES, Gathered
from apps.imports.adapters.bundles.resources import (
    Codes,
    Entry,
    Resource,
    extensions,
    identifiers,
    unnamed,
)
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.sources import Fault
from apps.imports.adapters.tables import TABLES

AREAS, EQUIPMENT = "areas.csv", "equipment.csv"
ALWAYS = {"resourceType", "id", "meta", "text", "extension", "identifier", "implicitRules",
          "language", "modifierExtension"}  # fmt: skip
# Elements that are read, or that follow from what is read.
ELEMENTS = {
    "Location": {"status", "name", "mode", "type", "physicalType", "position",
                 "managingOrganization", "partOf"},
    "HealthcareService": {"active", "providedBy", "type", "location", "name", "characteristic"},
    "Device": {"status", "type", "owner", "location", "note", "deviceName", "modelNumber",
               *names.DEVICE_ELEMENTS.values()},
}  # fmt: skip


class Translator:
    """Gathers rows; ``addresses``: entries by all that a reference may call them."""

    def __init__(self, codes: Codes, addresses: Mapping[str, Entry], gathered: Gathered) -> None:
        self.codes, self._addresses, self.gathered = codes, addresses, gathered
        self._columns = {
            file: {names.extension_url(file, column): column for column in TABLES[file].fields}
            for file in (AREAS, SITES, EQUIPMENT)
        }

    def entry_of(self, reference: Mapping[str, Any]) -> Entry | None:
        """The entry of this bundle that ``reference`` is to, however it is written."""
        text = reference.get("reference")
        if not isinstance(text, str):
            return None
        return self._addresses.get(text) or self._addresses.get("/".join(text.split("/")[-2:]))

    def named(
        self, resource: Resource, system: str, what: str, wrong: list[Fault], *, name: bool = True
    ) -> dict[str, str]:
        code = self.codes.code(resource, system)
        if not code:
            wrong.append(unnamed(what))
        cells = {"code": code}
        if name and resource.get("name"):
            cells["name"] = text_of_json(resource["name"])
        return cells

    def extended(self, file: str, entry: Entry) -> dict[str, str]:
        columns = self._columns[file]
        return {
            columns[url]: text_of_json(names.value_of_extension(each))
            for url, each in extensions(entry.resource)
            if url in columns
        }

    def code(self, reference: Mapping[str, Any], system: str) -> str:
        """What the register calls the resource that ``reference`` is to; else what it says."""
        entry = self.entry_of(reference)
        if entry is not None:
            return self.codes.code(entry.resource, system)
        logical = reference.get("identifier")
        if isinstance(logical, dict) and identifiers({"identifier": [logical]}):
            return self.codes.code({"identifier": [logical]}, system)
        return text_of_json(reference.get("reference") or reference.get("display"))

    def tell(self, entry: Entry, also: set[str] = frozenset()) -> None:
        """Name what of the resource has no place in the register."""
        own = {url for columns in self._columns.values() for url in columns} | also
        rest = sorted(entry.resource.keys() - ALWAYS - ELEMENTS[entry.kind])
        rest += sorted({url for url, _ in extensions(entry.resource)} - own)
        if rest:
            self.gathered.note(f"{entry.kind}: {', '.join(rest)} has no place here.")
