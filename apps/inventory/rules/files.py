"""How complete the file of a device is."""

from dataclasses import dataclass
from typing import Any

from apps.inventory.choices import Condition

# What a file keeps of each device: ISO 15189:2022, 6.4.7 (from memory), and from the WHO
# Laboratory quality management system handbook (2011) cost and contact. What another table
# keeps (moves, service log, verifications, who may use it) is not counted.
FILE_FIELDS = (
    "manufacturer", "supplier", "serial_number", "software_version", "manufactured_on",
    "purchased_on", "received_on", "accepted_on", "in_service_on", "condition_when_received",
    "conformity_document", "location", "instructions_held", "maintenance_programme", "condition",
    "last_calibrated_on", "calibration_due_on", "last_serviced_on", "service_due_on",
    "warranty_until", "contract", "purchase_cost", "contact",
)  # fmt: skip


@dataclass(frozen=True)
class Completeness:
    """How many fields of the list are known; ``missing`` are those that are not."""

    known: int
    of: int
    missing: tuple[str, ...]

    @property
    def share(self) -> float:
        return self.known / self.of


def completeness(item: Any) -> Completeness:
    """The share of ``FILE_FIELDS`` that is known of ``item``. A "no" is known, a blank is not."""
    missing = tuple(name for name in FILE_FIELDS if not _is_known(name, getattr(item, name)))
    return Completeness(len(FILE_FIELDS) - len(missing), len(FILE_FIELDS), missing)


def _is_known(name: str, value: Any) -> bool:
    return value not in (None, "") and (name != "condition" or value != Condition.UNKNOWN)
