"""What is wrong with resources of a bundle, beyond what is wrong for us.

Codes and elements that FHIR R4 (4.0.1) requires are checked here: the library that knows the
structure of every resource takes any text for a code. It is an extra, and is used where it is
installed.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from apps.imports.adapters.sources import Fault

try:
    from fhir.resources.R4B import get_fhir_model_class
    from pydantic import ValidationError
except ImportError:  # the extra "fhir" is not installed
    get_fhir_model_class = None

Resource = dict[str, Any]
CORRECT = "Correct it where the bundle was made, then upload it again."


@dataclass(frozen=True)
class Required:
    """A code that must be one of ``codes``; ``needed``: it must be there at all."""

    path: tuple[str, ...]
    codes: frozenset[str]
    needed: bool = False


def _codes(text: str) -> frozenset[str]:
    return frozenset(text.split())


USE = _codes("usual official temp secondary old")
IDENTIFIER = Required(("identifier", "use"), USE)
# Value sets with the binding "required" in the resource definitions of FHIR 4.0.1; from memory.
REQUIRED: dict[str, tuple[Required, ...]] = {
    "Location": (
        IDENTIFIER,
        Required(("status",), _codes("active suspended inactive")),
        Required(("mode",), _codes("instance kind")),
        Required(("telecom", "system"), _codes("phone fax email pager url sms other")),
    ),
    "Organization": (
        IDENTIFIER,
        Required(("telecom", "system"), _codes("phone fax email pager url sms other")),
    ),
    "HealthcareService": (
        IDENTIFIER,
        Required(("availableTime", "daysOfWeek"), _codes("mon tue wed thu fri sat sun")),
    ),
    "Device": (
        IDENTIFIER,
        Required(("status",), _codes("active inactive entered-in-error unknown")),
        Required(
            ("deviceName", "type"),
            _codes("udi-label-name user-friendly-name patient-reported-name manufacturer-name"
                   " model-name other"),
            needed=True,
        ),
        Required(("udiCarrier", "entryType"),
                 _codes("barcode rfid manual card self-reported unknown")),
    ),
}  # fmt: skip
BUNDLE_TYPES = _codes(
    "document message transaction transaction-response batch batch-response history searchset"
    " collection"
)
METHODS = _codes("GET HEAD POST PUT DELETE PATCH")


def faults_of(resource: Resource) -> list[Fault]:
    """All that is wrong with ``resource``, each with its place in it."""
    kind = resource["resourceType"]
    own = [*_codes_of(resource, REQUIRED.get(kind, ())), *RULES.get(kind, _no_rule)(resource)]
    told = {fault.column for fault in own}
    return [*own, *(each for each in _structure(resource) if each.column not in told)]


def _codes_of(resource: Resource, rules: tuple[Required, ...]) -> Iterator[Fault]:
    for rule in rules:
        *above, last = rule.path
        owners: list[Any] = [resource]
        for step in above:
            owners = [each for owner in owners for each in _listed(owner.get(step))]
        for owner in owners:
            values = _listed(owner.get(last)) if isinstance(owner, dict) else []
            if rule.needed and not values:
                yield Fault(".".join(rule.path), "", "is missing", _one_of(rule.codes))
            for value in values:
                if value not in rule.codes:
                    yield Fault(".".join(rule.path), str(value), "is no code of the standard",
                                _one_of(rule.codes))  # fmt: skip


def _one_of(codes: frozenset[str]) -> str:
    return f"Expected one of {', '.join(sorted(codes))}."


def _location(resource: Resource) -> Iterator[Fault]:
    position = resource.get("position")
    if position is None:
        return
    for name, most in (("longitude", 180), ("latitude", 90)):
        value = position.get(name) if isinstance(position, dict) else None
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not -most <= value <= most:
            shown = "" if value is None else str(value)
            remedy = f"Expected decimal degrees on WGS 84 from -{most} to {most}."
            yield Fault(f"position.{name}", shown, "is no degree", remedy)


def _organization(resource: Resource) -> Iterator[Fault]:
    if not resource.get("name") and not resource.get("identifier"):
        yield Fault("name", "", "is missing, and so is an identifier", "Give one of them (org-1).")


def _no_rule(resource: Resource) -> Iterator[Fault]:
    yield from ()


RULES: dict[str, Callable[[Resource], Iterator[Fault]]] = {
    "Location": _location,
    "Organization": _organization,
}


def _structure(resource: Resource) -> Iterator[Fault]:
    """What the library says of elements that are unknown, missing, or of another type."""
    if get_fhir_model_class is None:
        return
    try:
        get_fhir_model_class(resource["resourceType"]).model_validate(resource)
    except ValidationError as error:
        for each in error.errors(include_url=False, include_context=False):
            path = ".".join(str(step) for step in each["loc"] if not isinstance(step, int))
            value = each.get("input")
            shown = str(value)[:60] if isinstance(value, str | int | float) else ""
            yield Fault(path, shown, f"is not as FHIR R4 has it ({each['msg']})", CORRECT)


def _listed(value: Any) -> list[Any]:
    if value is None:
        return []
    return value if isinstance(value, list) else [value]
