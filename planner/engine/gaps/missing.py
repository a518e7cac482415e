"""What stands between a site and a method, and what is not known about it, in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.engine.capability import Situation
from planner.engine.case import DeviceModel, Need
from planner.engine.matching import Verdict, match, need_in_words

Kind = Literal["device", "skill", "infrastructure"]


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that a site lacks for a method: ``what`` it is, ``reason`` what is there."""

    kind: Kind
    what: str
    reason: str


def missing(situation: Situation, site: int, method: int) -> tuple[Missing, ...]:
    """Needs that fail, skills and infrastructure that the site does not have.

    A need that is only unknown is not among them: it is among ``questions``.
    """
    return tuple(
        Missing(kind, what, _reason(situation, site, kind, position))
        for kind, what, position in _lacking(situation, site, method)
    )


def missing_names(situation: Situation, site: int, method: int) -> tuple[str, ...]:
    """What ``missing`` holds, without the reasons: sites that lack the same are alike in it."""
    return tuple(what for _, what, _ in _lacking(situation, site, method))


def questions(situation: Situation, site: int, method: int) -> tuple[str, ...]:
    """What to measure to know whether working units on site meet the needs left unknown."""
    case, suitability = situation.case, situation.suitability
    asked = [
        finding.settle
        for need in _needs(situation, site, method, Verdict.UNKNOWN)
        for model in np.flatnonzero(situation.tables.working[site] & suitability.may_suit[need])
        for finding in match(suitability.needs[need], case.device_models[model]).findings
        if finding.settle
    ]
    return tuple(dict.fromkeys(asked))


def no_fix_in_words(situation: Situation, site: int, method: int) -> str:
    """Why no set of actions makes the method run at the site; none must do so."""
    case, tables, suitability = situation.case, situation.tables, situation.suitability
    needs = dict.fromkeys(situation.suitability.method_needs[method])
    absent = tables.method_infrastructure[method] & ~tables.infrastructure[site]
    obtainable = tables.broken[site] | np.array(
        [model.max_units != 0 for model in case.device_models], dtype=bool
    )
    reasons = []
    for need in needs:
        suits, wanted = suitability.suits[need], need_in_words(suitability.needs[need])
        if not suits.any():
            reasons.append(f"no accepted device model is known to suit: {wanted}")
        elif not (suits & (obtainable | tables.working[site])).any():
            reasons.append(f"no device model that may be bought suits: {wanted}")
    reasons += [
        f"{case.infrastructure[item].name} cannot be provided at level {case.sites[site].level}"
        for item in np.flatnonzero(absent & np.isinf(tables.provide_cost[site]))
    ]
    return "; ".join(reasons) or "what its devices come with cannot be provided here"


def _needs(situation: Situation, site: int, method: int, verdict: Verdict) -> Iterator[int]:
    verdicts = situation.capability.needs[site]
    for need in dict.fromkeys(situation.suitability.method_needs[method]):
        if verdicts[need] == verdict:
            yield need


def _lacking(situation: Situation, site: int, method: int) -> Iterator[tuple[Kind, str, int]]:
    """Kind, name and position of each need, skill and item that is known to be lacking."""
    case, tables = situation.case, situation.tables
    for need in _needs(situation, site, method, Verdict.NOT_MET):
        yield "device", need_in_words(situation.suitability.needs[need]), need
    for skill in np.flatnonzero(tables.method_skills[method] & ~tables.skills[site]):
        yield "skill", case.skills[skill].name, int(skill)
    for item in np.flatnonzero(tables.method_infrastructure[method] & ~tables.infrastructure[site]):
        yield "infrastructure", case.infrastructure[item].name, int(item)


def _reason(situation: Situation, site: int, kind: Kind, position: int) -> str:
    if kind != "device":
        return {"skill": "nobody is trained", "infrastructure": "not there"}[kind]
    wanted, models = situation.suitability.needs[position], situation.case.device_models
    in_stock = situation.tables.working[site] | situation.tables.broken[site]
    reasons = [
        f"{models[model].name}: {_shortfall(situation, site, position, int(model))}"
        for model in np.flatnonzero(in_stock)
        if _has_class(models[model], wanted)
    ]
    return "; ".join(reasons) or f"no {wanted.device_class} on site"


def _has_class(model: DeviceModel, need: Need) -> bool:
    return any(role.device_class == need.device_class for role in model.serves)


def _shortfall(situation: Situation, site: int, need: int, position: int) -> str:
    """Why the units on site of the model at ``position`` do not meet the need."""
    model = situation.case.device_models[position]
    found = match(situation.suitability.needs[need], model)
    parts = [] if situation.tables.working[site, position] else ["broken"]
    if not situation.suitability.accepted[position]:
        parts.append(f"not accepted: evidence grade {model.evidence}")
    elif found.verdict is not Verdict.MET:
        parts += [each.reason for each in found.findings if each.verdict is found.verdict]
    return ", ".join(parts)
