"""A site's findings arranged for its page: by state, and as the shortest list of fixes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from apps.coverage.choices import State
from apps.plans.choices import ActionKind
from apps.web.site_rows import EXPECTED


class LabTest(Protocol):
    code: str
    name: str


class Finding(Protocol):
    """What is asked of a finding; ``coverage.selectors.findings_at`` gives such."""

    test: LabTest
    state: str
    method_code: str
    fix_cost: float | None
    detail: Mapping[str, Any]


@dataclass(frozen=True)
class Lack:
    """Why one method does not run: the reasons in words."""

    method: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Action:
    kind: str
    item: str
    name: str
    cost: float

    @property
    def words(self) -> str:
        return f"{ActionKind(self.kind).label}: {self.name}"


@dataclass(frozen=True)
class Verdict:
    """One test at the site, ready to be shown."""

    finding: Finding
    method: str
    lacks: tuple[Lack, ...]
    fix: tuple[Action, ...]
    questions: tuple[str, ...]


@dataclass(frozen=True)
class Remedy:
    """An action of the cheapest fixes, and the tests it helps: alone, or with others."""

    action: Action
    alone: list[str] = field(default_factory=list)
    together: list[str] = field(default_factory=list)

    @property
    def tests(self) -> int:
        return len(self.alone) + len(self.together)


@dataclass(frozen=True)
class Sheet:
    """All that a site's page says about tests; ``verdicts`` has every state as a key."""

    verdicts: dict[str, list[Verdict]]
    remedies: list[Remedy]

    @property
    def can(self) -> int:
        return len(self.verdicts[State.RUNS])

    @property
    def expected(self) -> int:
        return sum(len(self.verdicts[state]) for state in EXPECTED)

    @property
    def fixable(self) -> int:
        """How many of the blocked tests some set of actions would put right."""
        return sum(bool(verdict.fix) for verdict in self.verdicts[State.BLOCKED])


def site_sheet(findings: Iterable[Finding]) -> Sheet:
    """``findings`` of one site by state, tests by name, and the fixes of what is blocked."""
    verdicts: dict[str, list[Verdict]] = {state.value: [] for state in State}
    for finding in sorted(findings, key=lambda finding: finding.test.name):
        verdicts[finding.state].append(verdict_of(finding))
    return Sheet(verdicts, _remedies(verdicts[State.BLOCKED]))


def _remedies(verdicts: Iterable[Verdict]) -> list[Remedy]:
    """Each distinct action of the fixes, the one that helps most tests first.

    A test whose fix has several actions needs them all, so it stands under each of them
    as helped together with others; costs are therefore not to be added over tests.
    """
    found: dict[tuple[str, str], Remedy] = {}
    for verdict in verdicts:
        for action in verdict.fix:
            remedy = found.setdefault((action.kind, action.item), Remedy(action))
            helped = remedy.alone if len(verdict.fix) == 1 else remedy.together
            helped.append(verdict.finding.test.name)
    return sorted(
        found.values(), key=lambda each: (-each.tests, each.action.cost, each.action.name)
    )


def verdict_of(finding: Finding) -> Verdict:
    """``finding`` with its method, reasons, fix and questions as values of their own."""
    methods = finding.detail.get("methods", [])
    names = {method["code"]: method["name"] for method in methods}
    return Verdict(
        finding=finding,
        method=names.get(finding.method_code, finding.method_code),
        lacks=tuple(
            Lack(method["name"], tuple(missing["reason"] for missing in method["missing"]))
            for method in methods
            if method["missing"]
        ),
        fix=tuple(Action(**action) for action in finding.detail.get("fix", [])),
        questions=tuple(finding.detail.get("questions", [])),
    )
