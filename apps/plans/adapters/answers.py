"""What comes of a computation, as rows and as plain figures."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from apps.coverage.adapters import Frozen, LeftOut
from apps.facilities.models import Facility
from apps.plans.adapters.extras import Extras, extras
from apps.plans.choices import ActionKind
from apps.plans.models import Line, Run
from planner.engine.allocation.explain import CoverageShare, coverage_shares, reasons
from planner.engine.case import Case, Result


def lines(run: Run, case: Case, result: Result) -> list[Line]:
    """The actions of ``result`` with their reasons, not saved yet; one query."""
    names = _names(case)
    wanted = {action.site for action in result.actions}
    facilities = dict(Facility.objects.filter(code__in=wanted).values_list("code", "pk"))
    return [
        Line(
            run=run,
            facility_id=facilities[action.site],
            kind=action.kind,
            item_code=action.item,
            item_name=names[action.kind][action.item],
            quantity=action.quantity,
            cost=action.cost,
            reason=reason.text,
            tests_per_year=reason.tests_per_year,
        )
        for action, reason in zip(result.actions, reasons(case, result), strict=True)
    ]


def summary(
    frozen: Frozen, result: Result, before: Result, found: Extras | None = None
) -> dict[str, Any]:
    """Money used, coverage before and after, and what had to be left out; plain JSON.

    Where no plan is possible, ``relax`` says which limits to ease, and nothing changes.
    ``found`` is what was computed beside the plan.
    """
    case = frozen.case
    excluded = result.status == "infeasible"
    return {
        "money": _money(case, result),
        "coverage": _coverage(case, before, before if excluded else result),
        "left_out": _left_out(frozen.left_out),
        "routes_left_out": _left_out(frozen.routes_left_out),
        "actions": _counts(result),
        "solve_seconds": result.seconds,
        **(
            {"relax": [reason.text for reason in result.reasons]}
            if excluded
            else extras(case, result, before, found or Extras())
        ),
    }


def _left_out(entries: Iterable[LeftOut]) -> list[dict[str, str]]:
    return [{"facility": left.facility_code, "why": left.why} for left in entries]


def _money(case: Case, result: Result) -> dict[str, Any]:
    limits = case.limits
    return {
        "capital": result.money.capital,
        "recurrent": result.money.recurrent,
        "earmarks": dict(result.money.earmarks),
        "limits": {
            "capital": limits.capital,
            "recurrent": limits.recurrent,
            "trainer_days": limits.trainer_days,
            "earmarks": dict(limits.earmarks),
        },
    }


def _coverage(case: Case, before: Result, after: Result) -> dict[str, Any]:
    shares = list(zip(coverage_shares(case, before), coverage_shares(case, after), strict=True))
    [(first, last)] = [pair for pair in shares if pair[0].scope == "district"]
    return {
        "before": _shares(first),
        "after": _shares(last),
        "areas": [_change(*pair) for pair in shares if pair[0].scope == "area"],
        "programmes": [_change(*pair) for pair in shares if pair[0].scope == "programme"],
    }


def _shares(share: CoverageShare) -> dict[str, float]:
    return {
        "tests_met_share": share.met_share or 0.0,
        "weighted_share": share.worth_share or 0.0,
        "demand": share.asked,
        "met": share.met,
    }


def _change(before: CoverageShare, after: CoverageShare) -> dict[str, Any]:
    return {
        "code": before.code,
        "name": before.name,
        "before": before.met_share or 0.0,
        "after": after.met_share or 0.0,
    }


def _counts(result: Result) -> dict[str, int]:
    counts: Counter[str] = Counter()
    for action in result.actions:
        counts[action.kind] += action.quantity
    usual = (kind for kind in ActionKind.values if kind != ActionKind.MOVE)
    moved = {ActionKind.MOVE.value: counts["move"]} if counts["move"] else {}
    return {kind: counts[kind] for kind in usual} | moved


def _names(case: Case) -> dict[str, Mapping[str, str]]:
    models = {model.code: model.name for model in case.device_models}
    return {
        "buy": models,
        "repair": models,
        "move": models,
        "train": {skill.code: skill.name for skill in case.skills},
        "provide": {item.code: item.name for item in case.infrastructure},
    }
