"""Names that stand in bundles: of the standards, and our own for what they have no place for.

Ours are names, not addresses: RFC 2606 keeps ``.example`` free for such use. They are told of
in ``planner/docs/exchange.md``.
"""

from typing import Any

from django.db.models import BooleanField, DateField, DecimalField, Field, FloatField, IntegerField

OWN = "https://benchward.example/fhir"
AREA_CODE = f"{OWN}/NamingSystem/area-code"
SITE_CODE = f"{OWN}/NamingSystem/site-code"
ITEM_CODE = f"{OWN}/NamingSystem/inventory-number"
LEVEL = f"{OWN}/CodeSystem/level-of-care"
AREA_KIND = f"{OWN}/CodeSystem/area-kind"
DEVICE_MODEL = f"{OWN}/CodeSystem/device-model"
INFRASTRUCTURE = f"{OWN}/CodeSystem/infrastructure"
LAB_TEST = f"{OWN}/CodeSystem/lab-test"
ABSENT = f"{OWN}/StructureDefinition/infrastructure-absent"

# IHE ITI mCSD: which pair of Location and Organization is a facility, and which an area; the
# second form is that of its versions before 3.8.
MCSD = "https://profiles.ihe.net/ITI/mCSD/CodeSystem/IHE.mCSD.Organization.Location.Types"
MCSD_BEFORE = ("urn:ietf:rfc:3986", "urn:ihe:iti:mcsd:2019:")
FACILITY, JURISDICTION = "facility", "jurisdiction"

PHYSICAL_TYPE = "http://terminology.hl7.org/CodeSystem/location-physical-type"
BOUNDARY = "http://hl7.org/fhir/StructureDefinition/location-boundary-geojson"

# Columns that a resource has an element of its own for; all others are extensions.
DEVICE_ELEMENTS = {"serial_number": "serialNumber", "manufacturer": "manufacturer"}


def extension_url(table: str, column: str) -> str:
    """The name of the extension that holds ``column`` of the table in the file ``table``."""
    stem = table.removesuffix(".csv").replace("_", "-")
    return f"{OWN}/StructureDefinition/{stem}-{column.replace('_', '-')}"


def value_key(field: Field) -> str:
    """The member of an extension that holds values of ``field``."""
    if field.choices:
        return "valueCode"
    if isinstance(field, BooleanField):
        return "valueBoolean"
    if isinstance(field, IntegerField):
        return "valueInteger"
    if isinstance(field, FloatField | DecimalField):
        return "valueDecimal"
    return "valueDate" if isinstance(field, DateField) else "valueString"


def value_of_extension(extension: dict[str, Any]) -> Any:
    """What an extension holds; ``None`` where it holds nothing, or extensions in turn."""
    return next((value for key, value in extension.items() if key.startswith("value")), None)
