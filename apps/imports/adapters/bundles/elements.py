"""Elements that resources are made of."""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import quote

from apps.imports.adapters.bundles import names
from apps.imports.adapters.tables import TABLES

Resource = dict[str, Any]
Row = Mapping[str, Any]


def address(kind: str, of: str, code: str) -> str:
    """Where a resource is found in a bundle: the same each time it is written (RFC 4122, v5)."""
    return f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_URL, f'{names.OWN}/{kind}/{of}/{code}')}"


def extensions(table: str, row: Row, columns: Sequence[str]) -> list[Resource]:
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


def full(resource: Resource) -> Resource:
    """Without what is not said: FHIR has no empty lists."""
    return {key: value for key, value in resource.items() if value not in (None, [], "")}


def identifier(system: str, value: str) -> Resource:
    return {"system": system, "value": value}


def coded(system: str, code: str, text: str = "") -> Resource:
    concept: Resource = {"coding": [{"system": system, "code": code}]}
    return concept | {"text": text} if text else concept


def mcsd_type(code: str) -> Resource:
    return {"coding": [{"system": names.MCSD, "code": code, "display": code.capitalize()}]}


def reference(kind: str, of: str, code: str) -> Resource:
    return {"reference": address(kind, of, code)}


def token(system: str, value: str) -> str:
    return quote(f"{system}|{value}", safe="")
