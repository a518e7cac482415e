"""The kinds of values that stand in a document, and what all parts of documents share."""

from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    WithJsonSchema,
)

from planner.engine.conditions import (
    CONDITION_SCHEMA,
    SPEC_SCHEMA,
    Condition,
    SpecValue,
    parse_condition,
    parse_spec,
    spec_as_json,
)
from planner.engine.schemas import SINCE

LARGEST_WHOLE_NUMBER = 2**53 - 1
"""The largest whole number that every JSON reader holds exactly (RFC 7493, section 2.2)."""


def _whole_as_int(raw: Any) -> Any:
    # To JSON, 2.0 is a whole number (JSON Schema 2020-12, core 4.2.3); to strict pydantic not.
    return int(raw) if isinstance(raw, float) and raw.is_integer() else raw


def _not_boolean(raw: Any) -> Any:
    # Python holds True == 1; JSON does not.
    if isinstance(raw, bool):
        raise ValueError("one of 1, 2")
    return raw


Code = Annotated[str, Field(min_length=1, max_length=100)]
Amount = Annotated[float, Field(ge=0)]
Share = Annotated[float, Field(ge=0, le=1)]
Count = Annotated[int, Field(ge=0, le=LARGEST_WHOLE_NUMBER), BeforeValidator(_whole_as_int)]
PositiveCount = Annotated[int, Field(ge=1, le=LARGEST_WHOLE_NUMBER), BeforeValidator(_whole_as_int)]
LevelText = Annotated[
    str,
    Field(
        pattern=r"^(0|[1-9][0-9]*)$",
        description='a level as text in plain digits, such as "2"',
    ),
]
Version = Annotated[Literal[1, 2], BeforeValidator(_not_boolean)]
Currency = Annotated[
    str,
    Field(
        pattern=r"^[A-Z]{3}$",
        description="a three-letter ISO 4217 code in capitals",
    ),
]
Digest = Annotated[
    str,
    Field(
        pattern=r"^[0-9a-f]{64}$",
        description="a SHA-256 digest, 64 hexadecimal digits in lower case",
    ),
]
Spec = Annotated[
    SpecValue,
    PlainValidator(parse_spec),
    PlainSerializer(spec_as_json),
    WithJsonSchema(SPEC_SCHEMA),
]
Requirement = Annotated[
    Condition,
    PlainValidator(parse_condition),
    PlainSerializer(Condition.as_json),
    WithJsonSchema(CONDITION_SCHEMA),
]


class Frozen(BaseModel):
    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, allow_inf_nan=False, populate_by_name=False
    )


def new_in_2(neutral: Any) -> Any:
    """A key that only version 2 has, and must have; in version 1 it means ``neutral``."""
    return Field(default=neutral, json_schema_extra={SINCE: 2})
