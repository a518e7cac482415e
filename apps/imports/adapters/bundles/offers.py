"""HealthcareServices and Devices of a bundle as infrastructure and equipment."""

from collections.abc import Mapping, Sequence
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.naming import EQUIPMENT, Translator
from apps.imports.adapters.bundles.resources import (
    Entry,
    Resource,
    coding,
    concepts,
    extensions,
    mcsd_type,
    referred,
)
from apps.imports.adapters.json_files import text_of_json
from apps.imports.adapters.mapping.words import meanings
from apps.imports.adapters.sources import Fault
from apps.imports.adapters.tables import TABLES

INFRASTRUCTURE = "infrastructure_held.csv"
MOST_STEPS = 20


class Offers(Translator):
    """What is at the sites, and what they offer."""

    def service(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """What a site offers: the infrastructure that is there or absent; tests follow from it."""
        resource, wrong = entry.resource, list(faults)
        reference = referred(resource, "location") or referred(resource, "providedBy")
        site = self._site_of(reference, "location", wrong)
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
                self.gathered.add(INFRASTRUCTURE, entry.line, cells, wrong)
            else:
                unknown += 1
        if unknown:
            self.gathered.note("Characteristics of services that are not infrastructure here were"
                                " passed over.")  # fmt: skip
        if resource.get("type"):
            self.gathered.note("Which tests a site offers was not taken over: here it follows from"
                                " its devices, people and infrastructure.")  # fmt: skip
        self.tell(entry, also={names.ABSENT})
        if wrong and not said:
            told = "; ".join(f"{each.column} {each.value} {each.reason}" for each in wrong)
            self.gathered.note(f"Entry {entry.line}, HealthcareService: {told}.")

    def device(self, entry: Entry, faults: Sequence[Fault]) -> None:
        """One item of equipment; its condition is what the extension says, never its status."""
        resource, wrong = entry.resource, list(faults)
        cells = self.named(resource, names.ITEM_CODE, "device", wrong, name=False)
        reference = referred(resource, "location") or referred(resource, "owner")
        if reference:
            cells["facility"] = self._site_of(reference, "location", wrong)
        cells["device_model"] = self._model(resource)
        for column, element in names.DEVICE_ELEMENTS.items():
            if element in resource and column in TABLES[EQUIPMENT].fields:
                cells[column] = text_of_json(resource[element])
        notes = [each["text"] for each in concepts(resource.get("note")) if "text" in each]
        if notes:
            cells["note"] = text_of_json(" ".join(map(str, notes)))
        cells |= self.extended(EQUIPMENT, entry)
        if "condition" not in cells:
            self.gathered.note("The status of a device says whether it is available, not in what"
                                " condition it is: where no more is said, that is not changed."
                                )  # fmt: skip
        self.tell(entry)
        self.gathered.add(EQUIPMENT, entry.line, cells, wrong)

    def _site_of(self, reference: Mapping[str, Any], element: str, wrong: list[Fault]) -> str:
        """The site of a Location, or of the one above it that is a facility."""
        entry, steps = self.entry_of(reference), 0
        while entry is not None and steps < MOST_STEPS:
            if mcsd_type(entry.resource) == names.FACILITY or not entry.resource.get("partOf"):
                return self.codes.code(entry.resource, names.SITE_CODE)
            entry, steps = self.entry_of(referred(entry.resource, "partOf")), steps + 1
        code = self.code(reference, names.SITE_CODE)
        if not code:
            remedy = "Refer to the Location of a site."
            wrong.append(Fault(element, "", "does not say at which site it is", remedy))
        return code

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
