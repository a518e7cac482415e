"""Which evidence grade a device model's approval and evaluations give it.

A: approved, and accurate in the field in the hands of its intended users. B: approved, or two
independent field evaluations against a reference, each with at least 100 people in the smaller
class and keeping limits that were set beforehand. C: one evaluation that was reviewed by peers.
D: anything less. A rule of this planner, not of a standard.

What is not known of an evaluation (``None``) counts as not so.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from planner.engine.errors import EngineError

Grade = Literal["A", "B", "C", "D"]
GRADES: tuple[Grade, ...] = ("A", "B", "C", "D")
APPROVALS = ("none", "local", "stringent")
SMALLEST_CLASS = 100
FIELD_EVALUATIONS = 2


@dataclass(frozen=True)
class Evaluation:
    """What grading asks of one evaluation; ``source`` tells independent ones apart."""

    source: str
    setting: str | None
    intended_users: bool | None = None
    peer_reviewed: bool = True
    limits_met: bool | None = None
    smallest_class: int | None = None


def grade(approval: str, evaluations: Iterable[Evaluation]) -> str:
    """The grade, ``"A"`` to ``"D"``, that ``approval`` and ``evaluations`` give.

    Raises ``EngineError`` for an approval other than none, local and stringent.
    """
    if approval not in APPROVALS:
        raise EngineError(
            f"approval is {approval!r}, which is none of {', '.join(APPROVALS)}.",
            remedy="State none where no approval is known.",
        )
    found = tuple(evaluations)
    approved = approval != "none"
    if approved and any(_by_intended_users(each) for each in found):
        return "A"
    if approved or len(_sources(found)) >= FIELD_EVALUATIONS:
        return "B"
    return "C" if any(each.peer_reviewed for each in found) else "D"


def missing(approval: str, evaluations: Iterable[Evaluation]) -> tuple[str, ...]:
    """What the next better grade asks for besides; nothing at A. Errors as ``grade``."""
    found = tuple(evaluations)
    match grade(approval, found):
        case "A":
            return ()
        case "B":
            return _for_a(approval, found)
        case "C":
            return _for_b(found)
    return ("one evaluation against a reference, reviewed by peers",)


def _for_a(approval: str, found: Sequence[Evaluation]) -> tuple[str, ...]:
    asked = []
    if approval == "none":
        asked.append("approval in the country, or by a recognised stringent authority")
    if not any(_by_intended_users(each) for each in found):
        asked.append("a field evaluation of its accuracy in the hands of its intended users")
    return tuple(asked)


def _for_b(found: Sequence[Evaluation]) -> tuple[str, ...]:
    lacking = FIELD_EVALUATIONS - len(_sources(found))
    evaluations = (
        "one more independent field evaluation"
        if lacking == 1
        else (f"{lacking} independent field evaluations")
    )
    return (
        f"approval in the country, or {evaluations} against a reference,"
        f" with {SMALLEST_CLASS} people or more in each class and limits set beforehand kept",
    )


def _by_intended_users(evaluation: Evaluation) -> bool:
    return evaluation.setting == "field" and evaluation.intended_users is True


def _sources(found: Sequence[Evaluation]) -> set[str]:
    """Independent field evaluations that are large enough and kept their limits."""
    return {
        each.source
        for each in found
        if each.setting == "field"
        and each.limits_met is True
        and (each.smallest_class or 0) >= SMALLEST_CLASS
    }
