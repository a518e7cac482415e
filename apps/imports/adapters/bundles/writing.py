"""Rows of the register as resources of FHIR R4."""

import base64
import json
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from apps.imports.adapters.bundles import names
from apps.imports.adapters.tables import OUTLINE, TABLES

Resource = dict[str, Any]
Row = Mapping[str, Any]

# What may be said of a device by its status alone; why it is so has an extension of its own.
STATUS = {"in_use": "active", "idle": "active", "unknown": "unknown"}


def bundle(kind: str, resources: Iterable[tuple[str, str, Resource]]) -> Resource:
    """``resources``, each with its address and the query that finds it, in a Bundle.

    A ``transaction`` puts each where the query finds it, or adds it; sent twice it changes
    nothing. A ``collection`` only says what there is.
    """
    entries = []
    for address, query, resource in resources:
        entry: dict[str, Any] = {"fullUrl": address, "resource": resource}
        if kind == "transaction":
            entry["request"] = {"method": "PUT", "url": f"{resource['resourceType']}?{query}"}
        entries.append(entry)
    return {"resourceType": "Bundle", "type": kind, "entry": entries}


def address(kind: str, of: str, code: str) -> str:
    """Where a resource is found in a bundle: the same each time it is written (RFC 4122, v5)."""
    return f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{names.OWN}/{kind}/{of}/{code}')}"


def area_pair(area: Row) -> Iterator[tuple[str, str, Resource]]:
    """An area as a jurisdiction: ``area`` has code, name, kind, parent, currency, outline."""
    code, parent = area["code"], area["parent"]
    types = [_mcsd(names.JURISDICTION), _coded(names.AREA_KIND, area["kind"])]
    identifiers = [_identifier(names.AREA_CODE, code)]
    extensions = _extensions("areas.csv", area, ("currency",))
    if area[OUTLINE]:
        data = base64.b64encode(json.dumps(area[OUTLINE]).encode()).decode()
        attachment = {"contentType": "application/geo+json", "data": data}
        extensions.append({"url": names.BOUNDARY, "valueAttachment": attachment})
    yield from _pair(
        "area", code, area["name"], types, identifiers, names.AREA_CODE,
        {"extension": extensions, "physicalType": _coded(names.PHYSICAL_TYPE, "jdn")},
        part_of=("area", parent) if parent else None,
    )  # fmt: skip


def site_pair(
    site: Row, known_as: Sequence[tuple[str, str]]
) -> Iterator[tuple[str, str, Resource]]:
    """A site as a facility: ``site`` has the columns of its table, ``known_as`` system and value
    of what other registers call it."""
    types = [_mcsd(names.FACILITY), _coded(names.LEVEL, str(site["level"]))]
    identifiers = [_identifier(names.SITE_CODE, site["code"])]
    identifiers += [_identifier(system, value) for system, value in known_as]
    said = {"code", "name", "area", "level", "latitude", "longitude"}
    columns = [name for name in TABLES["facilities.csv"].sheet.columns if name not in said]
    position = {"longitude": site["longitude"], "latitude": site["latitude"]}
    yield from _pair(
        "site", site["code"], site["name"], types, identifiers, names.SITE_CODE,
        {
            "extension": _extensions("facilities.csv", site, columns),
            "physicalType": _coded(names.PHYSICAL_TYPE, "si"),
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
        {"url": names.ABSENT, "valueCodeableConcept": _coded(names.INFRASTRUCTURE, code)}
        for code in infrastructure["absent"]
    ]
    there = [_coded(names.INFRASTRUCTURE, code) for code in infrastructure["present"]]
    query = f"location.identifier={_token(names.SITE_CODE, site['code'])}"
    resource = {
        "resourceType": "HealthcareService",
        "extension": absent,
        "active": True,
        "providedBy": _reference("Organization", "site", site["code"]),
        "type": [_coded(names.LAB_TEST, code, name) for code, name in tests],
        "location": [_reference("Location", "site", site["code"])],
        "name": f"Diagnostic testing at {site['name']}",
        "characteristic": there,
    }
    return address("HealthcareService", "site", site["code"]), query, _full(resource)


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
        "extension": _extensions("equipment.csv", item, columns),
        "identifier": [_identifier(names.ITEM_CODE, item["code"])],
        "status": STATUS.get(item["condition"], "inactive"),
        **elements,
        "type": _coded(names.DEVICE_MODEL, item["device_model"], model_name),
        "owner": _reference("Organization", "site", item["facility"]),
        "location": _reference("Location", "site", item["facility"]),
        "note": [{"text": item["note"]}] if item["note"] else [],
    }
    query = f"identifier={_token(names.ITEM_CODE, item['code'])}"
    return address("Device", "item", item["code"]), query, _full(resource)


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
    query = f"identifier={_token(system, code)}"
    organization = {
        "resourceType": "Organization",
        "identifier": identifiers,
        "active": True,
        "type": types,
        "name": name,
        "partOf": _reference("Organization", *part_of) if part_of else None,
    }
    location = {
        "resourceType": "Location",
        **place,
        "identifier": identifiers,
        "status": "active",
        "name": name,
        "mode": "instance",
        "type": types,
        "managingOrganization": _reference("Organization", of, code),
        "partOf": _reference("Location", *part_of) if part_of else None,
    }
    yield address("Organization", of, code), query, _full(organization)
    yield address("Location", of, code), query, _full(location)


def _extensions(table: str, row: Row, columns: Sequence[str]) -> list[Resource]:
    """What is known of ``columns``; what is not known is not said."""
    fields = TABLES[table].fields
    found = []
    for column in columns:
        value = row[column]
        if value is None or value == "":
            continue
        key = names.value_key(fields[column])
        found.append({"url": names.extension_url(table, column), key: _plain(value, key)})
    return found


def _plain(value: Any, key: str) -> Any:
    if key in ("valueCode", "valueString"):
        return str(value)
    if key == "valueDecimal":
        return float(value)
    return value.isoformat() if hasattr(value, "isoformat") else value


def _full(resource: Resource) -> Resource:
    """Without what is not said: FHIR has no empty lists."""
    return {key: value for key, value in resource.items() if value not in (None, [], "")}


def _identifier(system: str, value: str) -> Resource:
    return {"system": system, "value": value}


def _coded(system: str, code: str, text: str = "") -> Resource:
    concept: Resource = {"coding": [{"system": system, "code": code}]}
    return concept | {"text": text} if text else concept


def _mcsd(code: str) -> Resource:
    return {"coding": [{"system": names.MCSD, "code": code, "display": code.capitalize()}]}


def _reference(kind: str, of: str, code: str) -> Resource:
    return {"reference": address(kind, of, code)}


def _token(system: str, value: str) -> str:
    return quote(f"{system}|{value}", safe="")
