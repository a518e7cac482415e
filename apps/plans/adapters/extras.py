"""What a page shows beside a plan: other budgets, simple ways, people, and what is left."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from planner.engine.allocation import Frontier
from planner.engine.allocation.baselines import Baseline, plain_question
from planner.engine.allocation.explain import (
    coverage_shares,
    fifths,
    remaining,
    site_changes,
)
from planner.engine.case import Case, Result

LEFT_SHOWN = 200


@dataclass(frozen=True)
class Extras:
    """What was computed beside the plan; ``None`` where there was no time or no need."""

    frontier: Frontier | None = None
    baselines: Sequence[Baseline] = ()


def extras(case: Case, result: Result, before: Result, found: Extras) -> dict[str, Any]:
    """All of it as plain JSON, for the summary of a run that found a plan."""
    sites = site_changes(case, before, result)
    return {
        "sites": {
            site.code: [round(site.asked, 3), round(site.before, 3), round(site.after, 3)]
            for site in sites
        },
        "people": {
            "all": sum(site.population for site in sites),
            "gain": sum(site.population for site in sites if site.gains),
        },
        "fifths": [
            {"people": each.people, "before": each.before, "after": each.after}
            for each in fifths(sites)
        ],
        "remaining": _remaining(case, result),
        "running": {"before": before.money.recurrent, "after": result.money.recurrent},
        "asked": _asked(case, result),
        "funds": _funds(case, result),
        **({"frontier": _frontier(case, result, found.frontier)} if found.frontier else {}),
        "baselines": [_baseline(case, each) for each in found.baselines],
    }


def _funds(case: Case, result: Result) -> dict[str, list[str]]:
    """Models that are bought or repaired: the earmarks that may pay for them, if any."""
    used = {action.item for action in result.actions if action.kind in ("buy", "repair")}
    found = {
        model.code: sorted({code for code in model.programmes if case.limits.earmarks.get(code)})
        for model in case.device_models
        if model.code in used
    }
    return {model: codes for model, codes in found.items() if codes}


def _remaining(case: Case, result: Result) -> dict[str, Any]:
    names = {test.code: test.name for test in case.tests}
    left = remaining(case, result)
    whys: dict[str, float] = {}
    for each in left:
        for why, tests in each.by_why.items():
            whys[why] = whys.get(why, 0.0) + tests
    return {
        "by_why": whys,
        "sites": [
            {
                "code": each.site,
                "tests": each.tests_per_year,
                "by_why": dict(each.by_why),
                "next_test": names.get(each.next_test, ""),
                "next_cost": each.next_cost,
            }
            for each in left[:LEFT_SHOWN]
        ],
        "more_sites": max(0, len(left) - LEFT_SHOWN),
    }


def _asked(case: Case, result: Result) -> dict[str, Any]:
    """How far the plan gets in what is sought before most tests; empty where nothing is."""
    names = {test.code: test.name for test in case.tests}
    groups = {area.code: area.name for area in case.areas}
    programmes = {programme.code: programme.name for programme in case.programmes}
    pairs = result.minimum_sets
    return {
        "minimum_sets": {
            "pairs": len(pairs),
            "reached": sum(pair.reached for pair in pairs),
            "missed": [
                {"site": p.site, "test": names[p.test], "share": p.share, "why": p.why}
                for p in pairs
                if not p.reached
            ][:LEFT_SHOWN],
        },
        "targets": [
            {
                "area": groups.get(target.area or "", ""),
                "programme": programmes.get(target.programme or "", ""),
                "share": target.share,
                "reached": target.reached,
            }
            for target in result.targets
        ],
        "groups": [
            {
                "code": group.code,
                "name": groups.get(group.code, ""),
                "share": group.reached / group.attainable if group.attainable else None,
            }
            for group in result.groups
        ],
    }


def _frontier(case: Case, result: Result, found: Frontier) -> dict[str, Any]:
    """Worth as shares of what could be had at most; what 1 000 more bring, in weighted tests."""
    possible = coverage_shares(case, result)[0].worth_possible or 1.0
    return {
        "today": found.today / possible,
        "points": [
            {
                "budget": point.budget,
                "share": point.value / possible,
                "bound": min(1.0, point.bound / possible),
            }
            for point in found.points
        ],
        "steps": [
            {
                "start": step.start,
                "end": step.end,
                "least": step.least_per_1000,
                "most": step.most_per_1000,
            }
            for step in found.steps
        ],
        "useful": found.useful,
        "diminishing": found.diminishing,
    }


def _baseline(case: Case, baseline: Baseline) -> dict[str, Any]:
    result = baseline.result
    whole = coverage_shares(plain_question(case), result)[0]
    return {
        "way": baseline.way,
        "objective": result.objective,
        "tests_met_share": whole.met_share or 0.0,
        "weighted_share": whole.worth_share or 0.0,
        "cost": result.money.capital + sum(result.money.earmarks.values()),
        "recurrent": result.money.recurrent,
    }
