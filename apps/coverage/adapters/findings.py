"""What the engine found out, as the values of rows."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from apps.coverage.adapters.unknowns import SecondLook
from apps.coverage.adapters.wording import Wording
from planner.engine.coverage import State


@dataclass(frozen=True)
class Found:
    """One site and one test, by codes; ``detail`` is what ``Finding.detail`` holds."""

    site: str
    test: str
    state: State
    method: str
    referred_to: str | None
    fix_cost: float | None
    detail: dict[str, Any]


def findings(look: SecondLook, method_names: Mapping[str, str]) -> Iterator[Found]:
    """Every site and test of the case; ``method_names``: code to name."""
    case, coverage = look.known.situation.case, look.known
    wording = Wording(look, method_names)
    for at, site in enumerate(case.sites):
        for of, test in enumerate(case.tests):
            method, to = coverage.method[at, of], coverage.referral_site[at, of]
            fixable = coverage.fix_method[at, of] >= 0
            yield Found(
                site=site.code,
                test=test.code,
                state=look.state(at, of),
                method=case.methods[method].code if method >= 0 else "",
                referred_to=case.sites[to].code if to >= 0 else None,
                fix_cost=float(coverage.fix_cost[at, of]) if fixable else None,
                detail={**wording.detail(at, of), "questions": list(look.questions(at, of))},
            )
