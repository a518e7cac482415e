"""The planning case and the result: the only things that enter and leave the engine.

Meaning of every key: ``planner/docs/case-format.md``. The types are frozen; mappings in
them are typed read-only. Numbers are finite floats, whole numbers are ints, money is in
the one currency of the case, volumes are per year. A document of version 1 has the keys of
version 2 too once it is read, with the values at which they mean nothing.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from planner.engine.answering import GroupReached, Reached, Stage, TargetReached
from planner.engine.asking import MOST, ActionKind, Aim, Bundle, Fixed, MinimumSet, Move
from planner.engine.evidence import Grade
from planner.engine.fields import (
    Amount,
    Code,
    Count,
    Currency,
    Digest,
    Frozen,
    LevelText,
    PositiveCount,
    Requirement,
    Share,
    Spec,
    Version,
    new_in_2,
)
from planner.engine.reading import canonical_sha256, read_document
from planner.engine.rules import CASE_REFERENCES, RESULT_REFERENCES
from planner.engine.versions import keys_beyond, said_too_early, schema_of_version


class Area(Frozen):
    code: Code
    name: str
    floor: Share


class Programme(Frozen):
    code: Code
    name: str


class Skill(Frozen):
    code: Code
    name: str
    training_cost: Amount
    trainer_days: Amount
    supervision_cost: Amount


class Infrastructure(Frozen):
    code: Code
    name: str
    cost: Mapping[LevelText, Amount]


class Serves(Frozen):
    """One device class that a model serves, with the specifications it has in that role."""

    device_class: Code = Field(alias="class")
    specs: Mapping[Code, Spec]


class DeviceModel(Frozen):
    code: Code
    name: str
    evidence: Grade
    serves: tuple[Serves, ...]
    price: Amount
    annual_cost: Amount
    hours_per_year: Amount
    repair_cost: Amount
    programmes: tuple[Code, ...]
    max_units: Count | None = new_in_2(None)
    uptime: Share = new_in_2(1.0)
    repair_success: Share = new_in_2(1.0)

    @property
    def hours_up(self) -> float:
        """Machine hours a year of one working unit, the time out of order left out."""
        return self.hours_per_year * self.uptime

    def most_bought(self, limits: "Limits") -> int:
        """Units of it that may be bought for one site: its own limit, or that of all models."""
        return limits.max_units if self.max_units is None else self.max_units


class LabTest(Frozen):
    code: Code
    name: str
    programme: Code
    weight: Amount
    max_transport_hours: Amount | None


class Need(Frozen):
    """A device class that a method uses, what it must do, and machine hours per test."""

    device_class: Code = Field(alias="class")
    require: Mapping[Code, Requirement]
    hours: Amount


class Method(Frozen):
    code: Code
    test: Code
    sensitivity: Share
    staff_hours: Amount
    consumable_cost: Amount
    needs: tuple[Need, ...]
    skills: tuple[Code, ...]
    infrastructure: tuple[Code, ...]


class Site(Frozen):
    code: Code
    name: str
    area: Code
    level: Count
    latitude: Annotated[float, Field(ge=-90, le=90)]
    longitude: Annotated[float, Field(ge=-180, le=180)]
    population: Amount
    staff_hours: Amount
    skills: tuple[Code, ...]
    infrastructure: tuple[Code, ...]
    demand: Mapping[Code, Amount]


class Stock(Frozen):
    site: Code
    model: Code
    working: Count
    broken: Count


class Link(Frozen):
    """Specimens may go from one site to another: worst-case hours, cost of one specimen."""

    origin: Code = Field(alias="from")
    to: Code
    hours: Amount
    cost: Amount


class Limits(Frozen):
    capital: Amount
    earmarks: Mapping[Code, Amount]
    recurrent: Amount | None
    trainer_days: Amount | None
    max_units: Count
    supervised_share: Share = new_in_2(1.0)
    models_per_class: Mapping[Code, Count] = new_in_2({})


class Document(Frozen):
    """What a case and a result share: a format, a version, and one canonical digest."""

    format: str
    version: Version

    @model_validator(mode="after")
    def _says_what_its_version_can_say(self) -> Self:
        # In version 1 it would count, and neither be written nor be in the digest.
        if self.version == 1 and (places := said_too_early(self)):
            raise ValueError(f"version 2, for the sake of {', '.join(places)}")
        return self

    def to_json(self) -> dict[str, Any]:
        """The document as plain JSON values, with the keys of its version of the format."""
        left_out = keys_beyond(type(self), self.version)
        return self.model_dump(mode="json", by_alias=True, exclude=left_out)

    def sha256(self) -> str:
        """SHA-256 of the canonical JSON (RFC 8785), 64 hexadecimal digits.

        ``900`` and ``900.0`` and any order of keys give the same digest.
        """
        return canonical_sha256(self.to_json())


class Case(Document):
    """Everything that a plan depends on (format ``benchward-case``, versions 1 and 2)."""

    format: Literal["benchward-case"]
    title: str
    currency: Currency
    minimum_evidence: Grade
    areas: tuple[Area, ...]
    programmes: tuple[Programme, ...]
    skills: tuple[Skill, ...]
    infrastructure: tuple[Infrastructure, ...]
    device_models: tuple[DeviceModel, ...]
    tests: tuple[LabTest, ...]
    methods: tuple[Method, ...]
    sites: Annotated[tuple[Site, ...], Field(min_length=1)]
    stock: tuple[Stock, ...]
    links: tuple[Link, ...]
    limits: Limits
    fixed: tuple[Fixed, ...] = new_in_2(())
    bundles: tuple[Bundle, ...] = new_in_2(())
    moves: tuple[Move, ...] = new_in_2(())
    minimum_sets: tuple[MinimumSet, ...] = new_in_2(())
    aim: Aim = new_in_2(MOST)

    @classmethod
    def read(cls, source: Path | str | bytes) -> Self:
        """Read a case from a file (``Path``) or from JSON text.

        Raises ``InputError`` with every mistake of the document, each with its place.
        """
        return read_document(cls, source, what="planning case", references=CASE_REFERENCES)


Status = Literal["optimal", "feasible", "infeasible"]


class Money(Frozen):
    """Capital drawn from the general fund, from each earmark, and the yearly running cost."""

    capital: Amount
    recurrent: Amount
    earmarks: Mapping[Code, Amount]


class Action(Frozen):
    """Something done at ``site``; a unit that is moved there comes from ``moved_from``."""

    site: Code
    kind: ActionKind | Literal["move"]
    item: Code
    quantity: PositiveCount
    cost: Amount
    moved_from: Code | None = new_in_2(None)


class Volume(Frozen):
    """Tests a year for the people of ``origin``, done at ``at`` by ``method``."""

    origin: Code = Field(alias="from")
    at: Code
    method: Code
    per_year: Amount


class Relaxation(Frozen):
    """A limit that excludes every plan, its value, the value that would allow one, in words."""

    limit: str
    stated: Amount
    needed: Amount
    text: str


class Result(Document):
    """What the engine answers (format ``benchward-result``, versions 1 and 2).

    ``objective``, ``bound`` and ``gap`` are null where no plan satisfies the limits.
    """

    format: Literal["benchward-result"]
    case_sha256: Digest
    status: Status
    objective: float | None
    bound: float | None
    gap: float | None
    seconds: Amount
    solver: str
    money: Money
    actions: tuple[Action, ...]
    volumes: tuple[Volume, ...]
    objective_before: float
    reasons: tuple[Relaxation, ...]
    stages: tuple[Stage, ...] = new_in_2(())
    minimum_sets: tuple[Reached, ...] = new_in_2(())
    targets: tuple[TargetReached, ...] = new_in_2(())
    groups: tuple[GroupReached, ...] = new_in_2(())

    @classmethod
    def read(cls, source: Path | str | bytes) -> Self:
        """Read a result; raises ``InputError`` with every mistake, each with its place."""
        return read_document(cls, source, what="result", references=RESULT_REFERENCES)


def json_schemas() -> dict[str, dict[str, Any]]:
    """The JSON Schemas (2020-12) of ``case`` and ``result``, and of ``case-1`` and ``result-1``,
    the first version of each.

    They state the structure; unique codes and dangling references are beyond what a
    schema can say and are checked by ``read``.
    """
    return {
        "case": schema_of_version(Case, 2),
        "result": schema_of_version(Result, 2),
        "case-1": schema_of_version(Case, 1),
        "result-1": schema_of_version(Result, 1),
    }
