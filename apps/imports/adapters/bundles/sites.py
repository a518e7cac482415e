"""Locations of a bundle as areas and sites."""

import base64
import binascii
import json
from collections.abc import Mapping, Sequence
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.gathering import SITES
from apps.imports.adapters.bundles.naming import AREAS, Translator
from apps.imports.adapters.bundles.resources import (
    Entry,
    Resource,
    coding,
    extensions,
    foreign,
    referred,
)
from apps.imports.adapters.geometry import GeometryError, outline
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.sources import Fault
from apps.imports.adapters.tables import OUTLINE


class Places(Translator):
    """Jurisdictions and facilities, as IHE mCSD calls them."""

    def area(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """A jurisdiction: code, name, kind, what it is a part of, currency, outline."""
        resource, wrong = entry.resource, list(faults)
        cells = self.named(resource, names.AREA_CODE, "area", wrong)
        if kind := coding(resource.get("type"), names.AREA_KIND):
            cells["kind"] = kind
        part_of = referred(resource, "partOf")
        if part_of:
            cells["parent"] = self.code(part_of, names.AREA_CODE)
        cells |= self.extended(AREAS, entry)
        for url, each in extensions(resource):
            if url == names.BOUNDARY:
                cells |= self._boundary(cells["code"], each, wrong)
        self.tell(entry, also={names.BOUNDARY})
        self.gathered.add(AREAS, entry.line, cells, wrong)

    def site(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """A facility: what the register says of sites, and what other registers call it."""
        resource, wrong = entry.resource, list(faults)
        cells = self.named(resource, names.SITE_CODE, "site", wrong)
        if area := self._area_of(resource):
            cells["area"] = area
        if level := coding(resource.get("type"), names.LEVEL):
            cells["level"] = level
        position = resource.get("position")
        if isinstance(position, dict):
            cells |= {name: text_of_json(position.get(name)) for name in ("latitude", "longitude")}
        cells |= self.extended(SITES, entry)
        if resource.get("status") in ("inactive", "suspended"):
            self.gathered.note(
                f"{cells.get('name') or cells['code']} is {resource['status']} there. An upload"
                " closes no site: do so by hand where it is right."
            )
        self.tell(entry)
        self.gathered.add(SITES, entry.line, cells, wrong)
        for system, value in foreign(resource) if not wrong else ():
            said = {"facility": cells["code"], "system": system, "value": value}
            self.gathered.add("site_identifiers.csv", entry.line, said)

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
                self.gathered.note(f"{code}: {repair}.")
            return {OUTLINE: json.dumps(land.as_json)}
        return {}

    def _area_of(self, resource: Resource) -> str:
        """The area that a site's Location, or else its Organization, is a part of."""
        above = referred(resource, "partOf")
        if not above:
            organization = self.entry_of(referred(resource, "managingOrganization"))
            above = referred(organization.resource, "partOf") if organization else {}
        return self.code(above, names.AREA_CODE) if above else ""
