"""What a planning case of version 2 asks beyond the most tests within the limits."""

from typing import Annotated, Literal

from pydantic import Field

from planner.engine.fields import Amount, Code, Count, Frozen, Share

ActionKind = Literal["buy", "repair", "train", "provide"]


class Fixed(Frozen):
    """An action that a plan must take, ``at_least`` so often, or may not take more often.

    ``item`` is the code of a device model, a skill or an infrastructure item, by ``kind``.
    """

    site: Code
    kind: ActionKind
    item: Code
    at_least: Count
    at_most: Count | None


class Bundle(Frozen):
    """What belongs to a model: it is bought only where the site has or is given all of it.

    ``cost`` is paid for each unit bought, beside its price: first reagents, installation,
    verification. A model has one bundle at most.
    """

    code: Code
    name: str
    model: Code
    skills: tuple[Code, ...]
    infrastructure: tuple[Code, ...]
    cost: Amount


class Move(Frozen):
    """Working units of a model that may be brought from one site to another, at a cost each."""

    origin: Code = Field(alias="from")
    to: Code
    model: Code
    units: Count
    cost: Amount


class MinimumSet(Frozen):
    """Tests that every site of some levels is to reach before anything else is done.

    A site reaches a test if ``share`` of what its people ask for is done, anywhere.
    """

    code: Code
    name: str
    levels: tuple[Count, ...]
    tests: tuple[Code, ...]
    share: Share


class Most(Frozen):
    """As many tests that come out right as possible, by weight."""

    kind: Literal["most"]


class Target(Frozen):
    """A share of the most that an area, a programme, both or (null) all could get of all worth."""

    area: Code | None
    programme: Code | None
    share: Share


class LeastMoney(Frozen):
    """The targets, then as little capital and earmarks as possible, then most tests."""

    kind: Literal["least_money"]
    targets: tuple[Target, ...]


class WorstFirst(Frozen):
    """The worst-off area or level as high as possible, then the next, then most tests."""

    kind: Literal["worst_first"]
    over: Literal["areas", "levels"]


Aim = Annotated[Most | LeastMoney | WorstFirst, Field(discriminator="kind")]
MOST = Most(kind="most")
