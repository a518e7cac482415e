"""One resource of a bundle as cells of the register's columns."""

import base64
import binascii
import json
from collections.abc import Mapping, Sequence
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.gathering import SITES, Gathered
from apps.imports.adapters.bundles.resources import (
    Codes,
    Entry,
    Resource,
    coding,
    concepts,
    extensions,
    foreign,
    identifiers,
    mcsd_type,
    referred,
    unnamed,
)
from apps.imports.adapters.geometry import GeometryError, outline
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.mapping.words import meanings
from apps.imports.adapters.sources import Fault
from apps.imports.adapters.tables import OUTLINE, TABLES

AREAS, EQUIPMENT, INFRASTRUCTURE = "areas.csv", "equipment.csv", "infrastructure_held.csv"
MOST_STEPS = 20
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
        self._codes, self._addresses, self._gathered = codes, addresses, gathered
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

    def area(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """A jurisdiction: code, name, kind, what it is a part of, currency, outline."""
        resource, wrong = entry.resource, list(faults)
        cells = self._named(resource, names.AREA_CODE, "area", wrong)
        if kind := coding(resource.get("type"), names.AREA_KIND):
            cells["kind"] = kind
        part_of = referred(resource, "partOf")
        if part_of:
            cells["parent"] = self._code(part_of, names.AREA_CODE)
        cells |= self._extended(AREAS, entry)
        for url, each in extensions(resource):
            if url == names.BOUNDARY:
                cells |= self._boundary(cells["code"], each, wrong)
        self._tell(entry, also={names.BOUNDARY})
        self._gathered.add(AREAS, entry.line, cells, wrong)

    def site(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """A facility: what the register says of sites, and what other registers call it."""
        resource, wrong = entry.resource, list(faults)
        cells = self._named(resource, names.SITE_CODE, "site", wrong)
        if area := self._area_of(resource):
            cells["area"] = area
        if level := coding(resource.get("type"), names.LEVEL):
            cells["level"] = level
        position = resource.get("position")
        if isinstance(position, dict):
            cells |= {name: text_of_json(position.get(name)) for name in ("latitude", "longitude")}
        cells |= self._extended(SITES, entry)
        if resource.get("status") in ("inactive", "suspended"):
            self._gathered.note(
                f"{cells.get('name') or cells['code']} is {resource['status']} there. An upload"
                " closes no site: do so by hand where it is right."
            )
        self._tell(entry)
        self._gathered.add(SITES, entry.line, cells, wrong)
        for system, value in foreign(resource) if not wrong else ():
            said = {"facility": cells["code"], "system": system, "value": value}
            self._gathered.add("site_identifiers.csv", entry.line, said)

    def service(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """What a site offers: the infrastructure that is there or absent; tests follow from it."""
        resource, wrong = entry.resource, list(faults)
        reference = referred(resource, "location") or referred(resource, "providedBy")
        site = self._site(reference, "location", wrong)
        said = [(each, "present") for each in concepts(resource.get("characteristic"))]
        said += [
            (each.get("valueCodeableConcept"), "absent")
            for url, each in extensions(resource)
            if url == names.ABSENT
        ]
        unknown = 0
        for concept, presence in said:
            if code := coding(concept, names.INFRASTRUCTURE):
                cells = {"facility": site, "infrastructure": code, "presence": presence}
                self._gathered.add(INFRASTRUCTURE, entry.line, cells, wrong)
            else:
                unknown += 1
        if unknown:
            self._gathered.note("Characteristics of services that are not infrastructure here were"
                                " passed over.")  # fmt: skip
        if resource.get("type"):
            self._gathered.note("Which tests a site offers was not taken over: here it follows from"
                                " its devices, people and infrastructure.")  # fmt: skip
        self._tell(entry, also={names.ABSENT})
        if wrong and not said:
            told = "; ".join(f"{each.column} {each.value} {each.reason}" for each in wrong)
            self._gathered.note(f"Entry {entry.line}, HealthcareService: {told}.")

    def device(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """One item of equipment; its condition is what the extension says, never its status."""
        resource, wrong = entry.resource, list(faults)
        cells = self._named(resource, names.ITEM_CODE, "device", wrong, name=False)
        reference = referred(resource, "location") or referred(resource, "owner")
        if reference:
            cells["facility"] = self._site(reference, "location", wrong)
        cells["device_model"] = self._model(resource)
        for column, element in names.DEVICE_ELEMENTS.items():
            if element in resource and column in TABLES[EQUIPMENT].fields:
                cells[column] = text_of_json(resource[element])
        notes = [each["text"] for each in concepts(resource.get("note")) if "text" in each]
        if notes:
            cells["note"] = text_of_json(" ".join(map(str, notes)))
        cells |= self._extended(EQUIPMENT, entry)
        if "condition" not in cells:
            self._gathered.note("The status of a device says whether it is available, not in what"
                                " condition it is: where no more is said, that is not changed."
                                )  # fmt: skip
        self._tell(entry)
        self._gathered.add(EQUIPMENT, entry.line, cells, wrong)

    def _named(
        self, resource: Resource, system: str, what: str, wrong: list[Fault], *, name: bool = True
    ) -> dict[str, str]:
        code = self._codes.code(resource, system)
        if not code:
            wrong.append(unnamed(what))
        cells = {"code": code}
        if name and resource.get("name"):
            cells["name"] = text_of_json(resource["name"])
        return cells

    def _extended(self, file: str, entry: Entry) -> dict[str, str]:
        columns = self._columns[file]
        return {
            columns[url]: text_of_json(names.value_of_extension(each))
            for url, each in extensions(entry.resource)
            if url in columns
        }

    def _boundary(
        self, code: str, extension: Mapping[str, Any], wrong: list[Fault]
    ) -> dict[str, str]:
        attachment = extension.get("valueAttachment") or {}
        try:
            raw = json.loads(base64.b64decode(str(attachment.get("data", "")), validate=True))
            land = outline(raw)
        except GeometryError as error:
            wrong.append(Fault("boundary", "", error.reason, error.remedy))
        except (binascii.Error, ValueError, RecursionError):
            remedy = "Attach GeoJSON, in base64."
            wrong.append(Fault("boundary", "", "is no GeoJSON that can be read", remedy))
        else:
            for repair in land.repaired:
                self._gathered.note(f"{code}: {repair}.")
            return {OUTLINE: json.dumps(land.as_json)}
        return {}

    def _code(self, reference: Mapping[str, Any], system: str) -> str:
        """What the register calls the resource that ``reference`` is to; else what it says."""
        entry = self.entry_of(reference)
        if entry is not None:
            return self._codes.code(entry.resource, system)
        logical = reference.get("identifier")
        if isinstance(logical, dict) and identifiers({"identifier": [logical]}):
            return self._codes.code({"identifier": [logical]}, system)
        return text_of_json(reference.get("reference") or reference.get("display"))

    def _site(self, reference: Mapping[str, Any], element: str, wrong: list[Fault]) -> str:
        """The site of a Location, or of the one above it that is a facility."""
        entry, steps = self.entry_of(reference), 0
        while entry is not None and steps < MOST_STEPS:
            if mcsd_type(entry.resource) == names.FACILITY or not entry.resource.get("partOf"):
                return self._codes.code(entry.resource, names.SITE_CODE)
            entry, steps = self.entry_of(referred(entry.resource, "partOf")), steps + 1
        code = self._code(reference, names.SITE_CODE)
        if not code:
            remedy = "Refer to the Location of a site."
            wrong.append(Fault(element, "", "does not say at which site it is", remedy))
        return code

    def _area_of(self, resource: Resource) -> str:
        """The area that a site's Location, or else its Organization, is a part of."""
        above = referred(resource, "partOf")
        if not above:
            organization = self.entry_of(referred(resource, "managingOrganization"))
            above = referred(organization.resource, "partOf") if organization else {}
        return self._code(above, names.AREA_CODE) if above else ""

    def _model(self, resource: Resource) -> str:
        """The model of a device by our code, or by a name that the catalogue has."""
        kind = resource.get("type")
        if code := coding(kind, names.DEVICE_MODEL):
            return code
        said = [each.get("text") for each in concepts(kind)]
        said += [code.get("display") for each in concepts(kind)
                 for code in concepts(each.get("coding"))]  # fmt: skip
        said += [each.get("name") for each in concepts(resource.get("deviceName"))]
        texts = [str(each) for each in [*said, resource.get("modelNumber")] if each]
        field = TABLES[EQUIPMENT].fields["device_model"]
        meant = meanings(field, "device_model", texts)
        return next(filter(None, meant.values()), texts[0] if texts else "")

    def _tell(self, entry: Entry, also: set[str] = frozenset()) -> None:
        """Name what of the resource has no place in the register."""
        own = {url for columns in self._columns.values() for url in columns} | also
        rest = sorted(entry.resource.keys() - ALWAYS - ELEMENTS[entry.kind])
        rest += sorted({url for url, _ in extensions(entry.resource)} - own)
        if rest:
            self._gathered.note(f"{entry.kind}: {', '.join(rest)} has no place here.")
