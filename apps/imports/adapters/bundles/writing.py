"""Rows of the register as resources of FHIR R4."""

import base64
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.bundles.elements import (
    Resource,
    Row,
    address,
    coded,
    extensions,
    full,
    identifier,
    mcsd_type,
    reference,
    token,
)
from apps.imports.adapters.tables import OUTLINE, TABLES

# What may be said of a device by its status alone; why it is so has an extension of its own.
STATUS = {"in_use": "active", "idle": "active", "unknown": "unknown"}


def bundle(kind: str, resources: Iterable[tuple[str, str, Resource]]) -> Resource:
    """``resources``, each with its address and the query that finds it, in a Bundle.

    A ``transaction`` puts each where the query finds it, or adds it; sent twice it changes
    nothing. A ``collection`` only says what there is.
    """
    entries = []
    for at, query, resource in resources:
        entry: dict[str, Any] = {"fullUrl": at, "resource": resource}
        if kind == "transaction":
            entry["request"] = {"method": "PUT", "url": f"{resource['resourceType']}?{query}"}
        entries.append(entry)
    return {"resourceType": "Bundle", "type": kind, "entry": entries}


def area_pair(area: Row) -> Iterator[tuple[str, str, Resource]]:
    """An area as a jurisdiction: ``area`` has code, name, kind, parent, currency, outline."""
    code, parent = area["code"], area["parent"]
    types = [mcsd_type(names.JURISDICTION), coded(names.AREA_KIND, area["kind"])]
    identifiers = [identifier(names.AREA_CODE, code)]
    said = extensions("areas.csv", area, ("currency",))
    if area[OUTLINE]:
        data = base64.b64encode(json.dumps(area[OUTLINE]).encode()).decode()
        attachment = {"contentType": "application/geo+json", "data": data}
        said.append({"url": names.BOUNDARY, "valueAttachment": attachment})
    yield from _pair(
        "area", code, area["name"], types, identifiers, names.AREA_CODE,
        {"extension": said, "physicalType": coded(names.PHYSICAL_TYPE, "jdn")},
        part_of=("area", parent) if parent else None,
    )  # fmt: skip


def site_pair(
    site: Row, known_as: Sequence[tuple[str, str]]
) -> Iterator[tuple[str, str, Resource]]:
    """A site as a facility: ``site`` has the columns of its table, ``known_as`` system and value
    of what other registers call it."""
    types = [mcsd_type(names.FACILITY), coded(names.LEVEL, str(site["level"]))]
    identifiers = [identifier(names.SITE_CODE, site["code"])]
    identifiers += [identifier(system, value) for system, value in known_as]
    said = {"code", "name", "area", "level", "latitude", "longitude"}
    columns = [name for name in TABLES["facilities.csv"].sheet.columns if name not in said]
    position = {"longitude": site["longitude"], "latitude": site["latitude"]}
    yield from _pair(
        "site", site["code"], site["name"], types, identifiers, names.SITE_CODE,
        {
            "extension": extensions("facilities.csv", site, columns),
            "physicalType": coded(names.PHYSICAL_TYPE, "si"),
            "position": position,
        },
        part_of=("area", site["area"]),
    )  # fmt: skip


def service(
    site: Row, tests: Sequence[tuple[str, str]], infrastructure: Mapping[str, Sequence[str]]
) -> tuple[str, str, Resource]:
    """What a site offers: tests that it recorded, as code and name, and what is there for them.

    ``infrastructure``: ``present`` and ``absent`` to codes.
    """
    absent = [
        {"url": names.ABSENT, "valueCodeableConcept": coded(names.INFRASTRUCTURE, code)}
        for code in infrastructure["absent"]
    ]
    there = [coded(names.INFRASTRUCTURE, code) for code in infrastructure["present"]]
    query = f"location.identifier={token(names.SITE_CODE, site['code'])}"
    resource = {
        "resourceType": "HealthcareService",
        "extension": absent,
        "active": True,
        "providedBy": reference("Organization", "site", site["code"]),
        "type": [coded(names.LAB_TEST, code, name) for code, name in tests],
        "location": [reference("Location", "site", site["code"])],
        "name": f"Diagnostic testing at {site['name']}",
        "characteristic": there,
    }
    return address("HealthcareService", "site", site["code"]), query, full(resource)


def device(item: Row, model_name: str) -> tuple[str, str, Resource]:
    """One device: ``item`` has the columns of its table. Condition and reason are extensions, and
    its status says only whether it is available."""
    said = {"code", "facility", "device_model", "note", *names.DEVICE_ELEMENTS}
    columns = [name for name in TABLES["equipment.csv"].sheet.columns if name not in said]
    elements = {
        element: item[column] for column, element in names.DEVICE_ELEMENTS.items() if column in item
    }
    resource = {
        "resourceType": "Device",
        "extension": extensions("equipment.csv", item, columns),
        "identifier": [identifier(names.ITEM_CODE, item["code"])],
        "status": STATUS.get(item["condition"], "inactive"),
        **elements,
        "type": coded(names.DEVICE_MODEL, item["device_model"], model_name),
        "owner": reference("Organization", "site", item["facility"]),
        "location": reference("Location", "site", item["facility"]),
        "note": [{"text": item["note"]}] if item["note"] else [],
    }
    query = f"identifier={token(names.ITEM_CODE, item['code'])}"
    return address("Device", "item", item["code"]), query, full(resource)


def _pair(
    of: str,
    code: str,
    name: str,
    types: list[Resource],
    identifiers: list[Resource],
    system: str,
    place: Resource,
    part_of: tuple[str, str] | None,
) -> Iterator[tuple[str, str, Resource]]:
    query = f"identifier={token(system, code)}"
    organization = {
        "resourceType": "Organization",
        "identifier": identifiers,
        "active": True,
        "type": types,
        "name": name,
        "partOf": reference("Organization", *part_of) if part_of else None,
    }
    location = {
        "resourceType": "Location",
        **place,
        "identifier": identifiers,
        "status": "active",
        "name": name,
        "mode": "instance",
        "type": types,
        "managingOrganization": reference("Organization", of, code),
        "partOf": reference("Location", *part_of) if part_of else None,
    }
    yield address("Organization", of, code), query, full(organization)
    yield address("Location", of, code), query, full(location)
