"""The resources of a bundle, found by their addresses, and what each is called."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from apps.imports.adapters.bundles import names
from apps.imports.adapters.mapping.suggesting import as_code
from apps.imports.adapters.sources import Fault, RefusedFileError

Resource = dict[str, Any]
READABLE = ("collection", "transaction", "batch", "searchset")
OWN_SYSTEMS = (names.AREA_CODE, names.SITE_CODE, names.ITEM_CODE)
EXPORT_AGAIN = "Export it again as a Bundle of FHIR R4 of the type collection or transaction."


@dataclass(frozen=True)
class Entry:
    """One resource: the number of its entry, from 1, and what the entry asks to do with it."""

    line: int
    resource: Resource
    method: str

    @property
    def kind(self) -> str:
        return str(self.resource["resourceType"])


def entries_of(name: str, document: Mapping[str, Any]) -> tuple[list[Entry], dict[str, Entry]]:
    """The entries of a bundle in their order, and by each address that may name them.

    Raises ``RefusedFileError`` where ``document`` is no bundle to be read.
    """
    if document.get("resourceType") != "Bundle":
        raise RefusedFileError(f"{name} is no FHIR Bundle.", remedy=EXPORT_AGAIN)
    if document.get("type") not in READABLE:
        raise RefusedFileError(
            f"{name} is a Bundle of the type {document.get('type')!r}, expected one of"
            f" {', '.join(READABLE)}.",
            remedy=EXPORT_AGAIN,
        )
    raw = document.get("entry")
    if not isinstance(raw, list) or not raw:
        raise RefusedFileError(f"{name} has no entries.", remedy=EXPORT_AGAIN)
    entries = list(_entries(name, raw))
    return entries, _addresses(name, raw, entries)


def _entries(name: str, raw: list[Any]) -> Iterator[Entry]:
    for line, each in enumerate(raw, 1):
        resource = each.get("resource") if isinstance(each, dict) else None
        if resource is None and isinstance(each, dict) and "request" in each:
            resource = {"resourceType": "nothing"}  # such as a deletion
        if not isinstance(resource, dict) or not isinstance(resource.get("resourceType"), str):
            raise RefusedFileError(f"{name}: entry {line} has no resource.", remedy=EXPORT_AGAIN)
        request = each.get("request")
        method = request.get("method") if isinstance(request, dict) else None
        yield Entry(line, resource, str(method or "PUT"))


def _addresses(name: str, raw: list[Any], entries: list[Entry]) -> dict[str, Entry]:
    found: dict[str, Entry] = {}
    for each, entry in zip(raw, entries, strict=True):
        full, own = each.get("fullUrl"), entry.resource.get("id")
        if isinstance(full, str):
            if full in found:
                raise RefusedFileError(
                    f"{name}: entry {entry.line} has the same fullUrl as entry {found[full].line}.",
                    remedy="Give each its own (bdl-7).",
                )
            found[full] = entry
        if isinstance(own, str):
            found.setdefault(f"{entry.kind}/{own}", entry)
    return found


class Codes:
    """What the register calls resources: by an identifier of ours, of another register that it
    remembers, or else by the first identifier, in the letters of a code."""

    def __init__(self, remembered: Mapping[tuple[str, str], str]) -> None:
        self._remembered = remembered
        self.respelled: dict[str, str] = {}

    def code(self, resource: Resource, system: str) -> str:
        """The code of ``resource``; empty where it has no identifier."""
        pairs = identifiers(resource)
        for each, value in pairs:
            if each == system:
                return value
        for pair in pairs:
            if pair in self._remembered:
                return self._remembered[pair]
        return self._spelled(pairs[0][1]) if pairs else ""

    def _spelled(self, value: str) -> str:
        code = as_code(value)
        if code != value:
            self.respelled[value] = code
        return code


def identifiers(resource: Resource) -> list[tuple[str, str]]:
    """System and value of each identifier that has a value."""
    raw = resource.get("identifier")
    return [
        (str(each.get("system") or ""), each["value"].strip())
        for each in (raw if isinstance(raw, list) else [])
        if isinstance(each, dict) and isinstance(each.get("value"), str) and each["value"].strip()
    ]


def foreign(resource: Resource) -> list[tuple[str, str]]:
    """Identifiers of other registers that say which register that is."""
    return [pair for pair in identifiers(resource) if pair[0] and pair[0] not in OWN_SYSTEMS]


def concepts(raw: Any) -> list[dict[str, Any]]:
    listed = raw if isinstance(raw, list) else [raw]
    return [each for each in listed if isinstance(each, dict)]


def coding(raw: Any, system: str) -> str:
    """The code of ``system`` in a concept or a list of them; empty where there is none."""
    for concept in concepts(raw):
        for each in concepts(concept.get("coding")):
            if each.get("system") == system and isinstance(each.get("code"), str):
                return each["code"]
    return ""


def mcsd_type(resource: Resource) -> str:
    """``facility`` or ``jurisdiction``, as IHE mCSD has it; empty where it says neither."""
    if code := coding(resource.get("type"), names.MCSD):
        return code
    system, prefix = names.MCSD_BEFORE
    before = coding(resource.get("type"), system)
    return before.removeprefix(prefix) if before.startswith(prefix) else ""


def extensions(resource: Resource) -> Iterator[tuple[str, dict[str, Any]]]:
    for each in concepts(resource.get("extension")):
        yield str(each.get("url")), each


def referred(resource: Resource, element: str) -> dict[str, Any]:
    """The first reference in ``element``; empty where there is none."""
    return next(iter(concepts(resource.get(element))), {})


def unnamed(kind: str) -> Fault:
    return Fault(
        "identifier", "", f"is missing, so that nobody can tell which {kind} this is",
        "Give it an identifier with a value.",
    )  # fmt: skip
