"""Device models held against needs, sorted by how they stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Any

from django.utils.translation import gettext_lazy

from planner.engine.evidence import GRADES
from planner.engine.matching import Verdict

# The marks of the coverage grid, so that a glyph means the same everywhere.
MARKS = {Verdict.MET: "runs", Verdict.NOT_MET: "blocked", Verdict.UNKNOWN: "unknown"}
WOULD = {
    Verdict.MET: gettext_lazy("would do"),
    Verdict.NOT_MET: gettext_lazy("would not do"),
    Verdict.UNKNOWN: gettext_lazy("unknown"),
}
ACCEPTED = GRADES[: GRADES.index("B") + 1]


@dataclass(frozen=True)
class Suits:
    """How several things stand: they do, it is not known, they do not."""

    met: tuple[Any, ...]
    unknown: tuple[Any, ...]
    not_met: tuple[Any, ...]

    @classmethod
    def sort(cls, held: Iterable[Any]) -> "Suits":
        """``held``: anything with a ``verdict``, kept in its order."""
        found: dict[Verdict, list[Any]] = {verdict: [] for verdict in Verdict}
        for each in held:
            found[each.verdict].append(each)
        return cls(*(tuple(found[v]) for v in (Verdict.MET, Verdict.UNKNOWN, Verdict.NOT_MET)))

    @property
    def all(self) -> tuple[Any, ...]:
        return (*self.met, *self.unknown, *self.not_met)


@dataclass(frozen=True)
class MethodVerdict:
    """One device model for one method: the worst of the needs that it may serve."""

    method: str
    method_name: str
    test_name: str
    verdict: Verdict
    reasons: tuple[str, ...]
    settle: tuple[str, ...]


def accepted(evidence: str) -> bool:
    """Whether plans may count on models of this grade, unless a plan asks for another."""
    return evidence in ACCEPTED


def by_method(held: Iterable[Any]) -> list[MethodVerdict]:
    """A model held against needs, gathered by method, in order of test and method."""
    gathered: dict[str, list[Any]] = {}
    for each in held:
        gathered.setdefault(each.method, []).append(each)
    found = [_of_method(each) for each in gathered.values()]
    return sorted(found, key=lambda each: (each.test_name, each.method_name))


def _of_method(held: list[Any]) -> MethodVerdict:
    verdict = min(each.verdict for each in held)
    worst = [each for each in held if each.verdict is verdict]
    return MethodVerdict(
        method=held[0].method,
        method_name=held[0].method_name,
        test_name=held[0].test_name,
        verdict=verdict,
        reasons=tuple(dict.fromkeys(chain.from_iterable(each.reasons for each in worst))),
        settle=tuple(dict.fromkeys(chain.from_iterable(each.settle for each in worst))),
    )
