"""All cells of a coverage as a table of text, one row for each site and test."""

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from planner.engine.capability import Situation
from planner.engine.coverage.assessment import STATES, Assessment, State
from planner.engine.coverage.cells import NO_METHOD, NOT_ON_SITE, methods_of, open_questions
from planner.engine.gaps import Fix, MethodFixes, missing_names
from planner.engine.matching import Verdict
from planner.engine.tables import Coded, Ints, distinct_rows

Texts = NDArray[np.object_]


def listing(assessment: Assessment) -> pd.DataFrame:
    """One row for each site and test, sites outermost.

    Columns: ``site``, ``test`` (codes), ``state``, ``method`` that does the test, ``at``
    (code of the site where it is done), ``fix`` (cheapest actions to make it run on site),
    ``fix_cost`` (money), ``blockers`` (what each method lacks), ``questions`` (what to
    measure). Text is empty, and the cost missing, where there is nothing to say.
    """
    case, shape = assessment.situation.case, assessment.state.shape
    sites, tests = _codes(case.sites), _codes(case.tests)
    states = np.array([str(state) for state in STATES], dtype=object)
    runs = assessment.is_state(State.RUNS)
    done_at = np.where(runs, np.arange(shape[0])[:, None], assessment.referral_site)
    columns = {
        "site": np.repeat(sites, shape[1]),
        "test": np.tile(tests, shape[0]),
        "state": states[assessment.state].ravel(),
        "method": _or_empty(_codes(case.methods), assessment.method).ravel(),
        "at": _or_empty(sites, done_at).ravel(),
        "fix": _fixes(assessment).ravel(),
        "fix_cost": np.where(assessment.fix_method >= 0, assessment.fix_cost, np.nan).ravel(),
        "blockers": _blockers(assessment).ravel(),
        "questions": _questions(assessment).ravel(),
    }
    return pd.DataFrame(columns)


def _fixes(assessment: Assessment) -> Texts:
    """``repair micro-led; train microscopy``, worked out once for sites alike in it."""
    texts = np.full(assessment.state.shape, "", dtype=object)
    for method, test in enumerate(assessment.situation.tables.method_test):
        sites = np.flatnonzero(assessment.fix_method[:, test] == method)
        if len(sites):
            found, group = MethodFixes(assessment.situation, method).fixes(sites)
            texts[sites, test] = np.array([_actions(fix) for fix in found], dtype=object)[group]
    return texts


def _blockers(assessment: Assessment) -> Texts:
    """``smear: microscope with na at least 1.25, Oil-immersion microscopy; rapid: ...``."""
    situation, wanted = assessment.situation, assessment.is_state(*NOT_ON_SITE)
    tables, texts = situation.tables, np.full(wanted.shape, "", dtype=object)
    for test in range(wanted.shape[1]):
        methods = methods_of(situation, test)
        facts = [
            situation.capability.needs[:, _needs_of(situation, methods)],
            tables.skills[:, tables.method_skills[methods].any(axis=0)],
            tables.infrastructure[:, tables.method_infrastructure[methods].any(axis=0)],
        ]
        sites = np.flatnonzero(wanted[:, test])
        texts[sites, test] = _alike(sites, facts, partial(_lacks, situation, methods))
    return texts


def _questions(assessment: Assessment) -> Texts:
    """What to measure, joined by semicolons."""
    situation, wanted = assessment.situation, assessment.is_state(*NOT_ON_SITE)
    wanted &= situation.capability.tests == Verdict.UNKNOWN
    texts = np.full(wanted.shape, "", dtype=object)
    for test in range(wanted.shape[1]):
        methods = methods_of(situation, test)
        needs = _needs_of(situation, methods)
        facts = [
            situation.capability.methods[:, methods],
            situation.capability.needs[:, needs],
            situation.tables.working[:, situation.suitability.may_suit[needs].any(axis=0)],
        ]
        sites = np.flatnonzero(wanted[:, test])
        texts[sites, test] = _alike(sites, facts, partial(_asked, situation, test))
    return texts


def _alike(
    sites: Ints, facts: Sequence[NDArray[Any]], text: Callable[[int], str]
) -> Sequence[str] | Texts:
    """``text`` of each site, worked out once for all sites that agree in all ``facts``."""
    columns = [column for fact in facts for column in fact[sites].T.astype(np.int64)]
    firsts, group = distinct_rows(columns, len(sites))
    return np.array([text(int(sites[first])) for first in firsts], dtype=object)[group]


def _needs_of(situation: Situation, methods: list[int]) -> list[int]:
    return sorted({need for m in methods for need in situation.suitability.method_needs[m]})


def _lacks(situation: Situation, methods: list[int], site: int) -> str:
    of_methods = [
        f"{situation.case.methods[method].code}: {', '.join(names)}"
        for method in methods
        if (names := missing_names(situation, site, method))
    ]
    return "; ".join(of_methods) if methods else NO_METHOD


def _asked(situation: Situation, test: int, site: int) -> str:
    return "; ".join(open_questions(situation, site, test))


def _actions(fix: Fix | None) -> str:
    return "; ".join(f"{action.kind} {action.item}" for action in fix.actions) if fix else ""


def _codes(entries: Iterable[Coded]) -> Texts:
    return np.array([entry.code for entry in entries], dtype=object)


def _or_empty(codes: Texts, positions: Ints) -> Texts:
    """The codes at ``positions``, and empty text for -1."""
    return np.append(codes, "")[positions]
