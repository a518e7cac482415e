"""A site's findings arranged for its page: by state, by what puts them right, by question."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain
from math import fsum
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
    referred_to: Any | None
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

    @property
    def nearest(self) -> Lack | None:
        """The method that lacks least, the better one where two lack as much."""
        return min(self.lacks, key=lambda lack: len(lack.reasons), default=None)


@dataclass(frozen=True)
class Package:
    """Actions that together put all of ``tests`` right, and the reasons they answer.

    Without actions: tests that nothing money can buy puts right at this site.
    """

    actions: tuple[Action, ...]
    tests: tuple[Verdict, ...]

    @property
    def cost(self) -> float:
        return fsum(action.cost for action in self.actions)

    @property
    def reasons(self) -> list[str]:
        """What the method that lacks least is lacking, each reason once."""
        lacks = filter(None, (verdict.nearest for verdict in self.tests))
        return list(dict.fromkeys(chain.from_iterable(lack.reasons for lack in lacks)))


@dataclass(frozen=True)
class Question:
    """Something to measure or ask, and the tests that the answer settles."""

    text: str
    tests: tuple[Verdict, ...]


@dataclass(frozen=True)
class Referral:
    """Another site, and the tests that are done there for the people of this one."""

    site: Any
    tests: tuple[Verdict, ...]


@dataclass(frozen=True)
class Sheet:
    """All that a site's page says about tests; ``verdicts`` has every state as a key."""

    verdicts: dict[str, list[Verdict]]
    referrals: list[Referral]
    packages: list[Package]
    questions: list[Question]

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
    """``findings`` of one site by state, tests by name; the fixes and the questions grouped."""
    verdicts: dict[str, list[Verdict]] = {state.value: [] for state in State}
    for finding in sorted(findings, key=lambda finding: finding.test.name):
        verdicts[finding.state].append(verdict_of(finding))
    return Sheet(
        verdicts,
        _referrals(verdicts[State.REFERRED]),
        _packages(verdicts[State.BLOCKED]),
        _questions(verdicts[State.UNKNOWN]),
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


def _referrals(referred: Iterable[Verdict]) -> list[Referral]:
    """Each other site once, the one with most tests first."""
    found: dict[Any, list[Verdict]] = {}
    for verdict in referred:
        found.setdefault(verdict.finding.referred_to, []).append(verdict)
    referrals = [Referral(site, tuple(verdicts)) for site, verdicts in found.items()]
    return sorted(referrals, key=lambda referral: -len(referral.tests))


def _packages(blocked: Iterable[Verdict]) -> list[Package]:
    """Tests with the same fix together: most tests first, then the cheapest; no fix last."""
    found: dict[tuple[Action, ...], list[Verdict]] = {}
    for verdict in blocked:
        found.setdefault(verdict.fix, []).append(verdict)
    packages = [Package(actions, tuple(verdicts)) for actions, verdicts in found.items()]
    return sorted(packages, key=lambda each: (not each.actions, -len(each.tests), each.cost))


def _questions(unknown: Iterable[Verdict]) -> list[Question]:
    """Each question once, the one that settles most tests first."""
    found: dict[str, list[Verdict]] = {}
    for verdict in unknown:
        for text in verdict.questions:
            found.setdefault(text, []).append(verdict)
    questions = [Question(text, tuple(verdicts)) for text, verdicts in found.items()]
    return sorted(questions, key=lambda question: -len(question.tests))
