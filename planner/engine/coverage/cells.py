"""One site and one test in words, as a page shows it."""

from dataclasses import dataclass

from planner.engine.capability import Situation
from planner.engine.coverage.assessment import STATES, Assessment, State
from planner.engine.gaps import (
    Fix,
    MethodFixes,
    Missing,
    missing,
    no_fix_in_words,
    questions,
)
from planner.engine.matching import Verdict

NO_METHOD = "the case has no method for this test"
NOT_ON_SITE = (State.REFERRED, State.UNKNOWN, State.BLOCKED)


@dataclass(frozen=True, slots=True)
class Referral:
    """Where people's specimens go: worst-case hours on the way, cost of one specimen."""

    site: str
    method: str
    hours: float
    cost: float


@dataclass(frozen=True, slots=True)
class MethodCell:
    """One method at the site: MET runs, UNKNOWN would if its ``questions`` came out well.

    ``missing`` is what is known to be lacking. ``fix`` is the cheapest way to make it run,
    None where it runs or none exists, and ``no_fix`` says why none does.
    """

    method: str
    verdict: Verdict
    missing: tuple[Missing, ...]
    questions: tuple[str, ...]
    fix: Fix | None
    no_fix: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One test at one site, by codes; ``demand`` is tests a year.

    ``running`` are the methods that run on site and ``methods`` all methods of the test,
    best first. ``method`` is the one that does the test, on site or by ``referral``.
    ``fix`` is the cheapest over all methods where people ask for the test and it does not
    run on site; ``no_fix`` says why there is none. ``questions`` are those of the methods
    that would run on site if they came out well.
    """

    site: str
    test: str
    state: State
    demand: float
    running: tuple[str, ...]
    method: str | None
    referral: Referral | None
    methods: tuple[MethodCell, ...]
    fix: Fix | None
    no_fix: str
    questions: tuple[str, ...]


def cell_in_words(assessment: Assessment, site: int, test: int) -> Cell:
    """The cell at the position ``site``, ``test``."""
    situation = assessment.situation
    case, tables = situation.case, situation.tables
    state = STATES[assessment.state[site, test]]
    methods = tuple(_method_cell(situation, site, method) for method in methods_of(situation, test))
    fix_method, method = assessment.fix_method[site, test], assessment.method[site, test]
    fixes = {each.method: each.fix for each in methods}
    stuck = state in NOT_ON_SITE and fix_method < 0
    return Cell(
        site=case.sites[site].code,
        test=case.tests[test].code,
        state=state,
        demand=float(tables.demand[site, test]),
        running=tuple(each.method for each in methods if each.verdict is Verdict.MET),
        method=case.methods[method].code if method >= 0 else None,
        referral=_referral(assessment, site, test),
        methods=methods,
        fix=fixes[case.methods[fix_method].code] if fix_method >= 0 else None,
        no_fix=_no_fix(methods) if stuck else "",
        questions=open_questions(situation, site, test) if state in NOT_ON_SITE else (),
    )


def methods_of(situation: Situation, test: int) -> list[int]:
    """Positions of the methods of the test at position ``test``, best first."""
    best_first = situation.tables.best_first
    return [int(m) for m in best_first[situation.tables.method_test[best_first] == test]]


def open_questions(situation: Situation, site: int, test: int) -> tuple[str, ...]:
    """What to measure on site to know whether the test runs there."""
    asked = [
        question
        for method in methods_of(situation, test)
        if situation.capability.methods[site, method] == Verdict.UNKNOWN
        for question in questions(situation, site, method)
    ]
    return tuple(dict.fromkeys(asked))


def _method_cell(situation: Situation, site: int, method: int) -> MethodCell:
    verdict = Verdict(int(situation.capability.methods[site, method]))
    runs = verdict is Verdict.MET
    fix = None if runs else MethodFixes(situation, method).fix(site)
    return MethodCell(
        situation.case.methods[method].code,
        verdict,
        missing(situation, site, method),
        questions(situation, site, method),
        fix,
        "" if runs or fix else no_fix_in_words(situation, site, method),
    )


def _referral(assessment: Assessment, site: int, test: int) -> Referral | None:
    link = assessment.referral_link[site, test]
    if link < 0:
        return None
    case, links = assessment.situation.case, assessment.situation.tables.links
    return Referral(
        site=case.sites[links.to[link]].code,
        method=case.methods[assessment.method[site, test]].code,
        hours=float(links.hours[link]),
        cost=float(links.cost[link]),
    )


def _no_fix(methods: tuple[MethodCell, ...]) -> str:
    return "; ".join(f"{each.method}: {each.no_fix}" for each in methods) or NO_METHOD
