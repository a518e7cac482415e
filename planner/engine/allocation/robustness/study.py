"""A plan held against many futures, and against plans that knew them."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from planner.engine.allocation.explain.packages import packages
from planner.engine.allocation.robustness.assumptions import Assumptions
from planner.engine.allocation.robustness.draws import draw
from planner.engine.allocation.robustness.figures import spread_of, worst_tenth
from planner.engine.allocation.robustness.findings import (
    RARE_TO,
    SAFE_FROM,
    Candidate,
    Frequency,
    Robustness,
    Standing,
)
from planner.engine.allocation.robustness.recourse import FixedPlan, by_merit, value_in
from planner.engine.allocation.solve import plan, today
from planner.engine.case import Action, Case, Result
from planner.engine.errors import EngineError, NoPlanError
from planner.engine.fanout import Done, Team, fan_out, team_for

DRAWS, CANDIDATES, GAP = 200, 4, 0.002
_SECONDS_OF_A_DRAW = 120.0


@dataclass(frozen=True)
class _Known:
    """One draw: what the plan does in it, and the best plan for who knows it in advance."""

    number: int
    worth: float
    overspent: bool
    best: float
    bound: float
    actions: tuple[Action, ...]
    repairable: Mapping[tuple[str, str], int]
    fixed: FixedPlan | None


def robustness(
    case: Case,
    result: Result,
    *,
    draws: int = DRAWS,
    seed: int = 1,
    assumptions: Assumptions | None = None,
    candidates: int = CANDIDATES,
    gap: float = GAP,
    team: Team | None = None,
    progress: Callable[[Done], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Robustness:
    """How ``result``, a plan for ``case``, does in ``draws`` futures.

    The same case, plan, seed and number give the same answer, whoever works (``team``; else
    one process for each core), unless a draw's own plan runs out of time. The plans of the
    first ``candidates`` draws are held against ``result`` in all draws. ``progress`` counts
    both rounds. Once ``cancelled`` the answer is about the draws that were done, without
    other candidates.

    Raises ``EngineError`` if ``result`` is no plan, or fewer than one draw is asked for, and
    ``NoPlanError`` if it was cancelled before any draw was done.
    """
    if result.objective is None or draws < 1:
        raise EngineError(
            "There is no plan to study." if draws >= 1 else f"{draws} draws say nothing.",
            remedy="Make a plan first." if draws >= 1 else "Ask for 1 draw or more, such as 200.",
        )
    study = _Study(case, assumptions or Assumptions(), seed, gap, candidates)
    fixed = by_merit(packages(case, today(case), result))
    team, of = team or team_for(), 2 * draws

    def told(before: int) -> Callable[[Done], None]:
        return lambda done: progress(Done(before + done.done, of)) if progress else None

    first = fan_out(partial(study.known, fixed), range(draws), team=team, progress=told(0),
                    cancelled=cancelled)  # fmt: skip
    known = [each for each in first if each is not None]
    others = [each.fixed for each in known if each.fixed is not None]
    second = fan_out(partial(study.worths, others), [each.number for each in known], team=team,
                     progress=told(draws), cancelled=cancelled)  # fmt: skip
    if not known:
        raise NoPlanError("The run was cancelled before a draw was done.",
                          remedy="Start it again, with fewer draws.")  # fmt: skip
    in_others = [worths for worths in second if worths is not None]
    if len(in_others) < len(known):  # cancelled: other plans are not judged by a part of the draws
        in_others = [[] for _ in known]
    return _found(result, study, draws, known, in_others)


@dataclass(frozen=True)
class _Study:
    """What every worker needs to know."""

    case: Case
    assumptions: Assumptions
    seed: int
    gap: float
    candidates: int

    def known(self, fixed: FixedPlan, number: int) -> _Known:
        """The draw ``number`` with its own best plan."""
        future = draw(self.case, self.assumptions, seed=self.seed, number=number)
        worth, paid_for = value_in(fixed, future)
        own = plan(future.case, gap=self.gap, seconds=_SECONDS_OF_A_DRAW)
        best, bound = float(own.objective or 0.0), float(own.bound or 0.0)
        parts = None
        if number < self.candidates:
            parts = by_merit(packages(future.case, today(future.case), own))
        repairable = {(s.site, s.model): s.broken for s in future.case.stock if s.broken}
        return _Known(number, worth, not paid_for, best, bound, own.actions, repairable, parts)

    def worths(self, others: Sequence[FixedPlan], number: int) -> list[float]:
        """What each of ``others`` does in the draw ``number``."""
        future = draw(self.case, self.assumptions, seed=self.seed, number=number)
        return [value_in(other, future)[0] for other in others]


def _found(
    result: Result, study: _Study, asked: int, known: list[_Known], others: list[list[float]]
) -> Robustness:
    best = [max(one.best, one.worth, *two) for one, two in zip(known, others, strict=True)]
    worth = [one.worth for one in known]
    regret = _regret(worth, best)
    bounds = [max(high, one.bound) for high, one in zip(best, known, strict=True)]
    own = [one for one in known if one.fixed is not None]
    judged = [_candidate("plan", worth, best, result.actions)] + [
        _candidate(f"draw {one.number}", [two[n] for two in others], best, one.actions)
        for n, one in enumerate(own[: len(others[0])])
    ]
    return Robustness(
        draws=len(known),
        asked=asked,
        seed=study.seed,
        assumptions=study.assumptions,
        worth=spread_of(worth),
        worst_tenth=worst_tenth(worth),
        regret=spread_of(regret),
        regret_at_most=spread_of(_regret(worth, bounds)).mean,
        overspent=sum(one.overspent for one in known) / len(known),
        actions=_frequencies(result.actions, known),
        candidates=tuple(sorted(judged, key=lambda each: -each.worst_tenth)),
    )


def _candidate(
    source: str, worth: list[float], best: list[float], actions: tuple[Action, ...]
) -> Candidate:
    mean_regret = spread_of(_regret(worth, best)).mean
    return Candidate(source, spread_of(worth), worst_tenth(worth), mean_regret, actions)


def _regret(worth: list[float], best: list[float]) -> list[float]:
    """As shares of the best; nothing is lost where there was nothing to gain."""
    return [(high - low) / high if high > 0 else 0.0 for low, high in zip(worth, best, strict=True)]


def _frequencies(planned: tuple[Action, ...], known: list[_Known]) -> tuple[Frequency, ...]:
    """Of every action of the plan or of a draw's own best: those of the plan first."""
    wanted = _quantities(planned)
    own = [_quantities(one.actions) for one in known]
    found = []
    for key in sorted(set(wanted).union(*own)):
        site, kind, item = key
        quantity = wanted[key] or 1
        taken = [
            counted[key] >= quantity
            for counted, one in zip(own, known, strict=True)
            if kind != "repair" or one.repairable.get((site, item), 0) >= quantity
        ]
        share = sum(taken) / len(taken) if taken else 0.0
        standing = _standing(share)
        found.append(Frequency(*key, quantity, key in wanted, len(taken), share, standing))
    return tuple(sorted(found, key=lambda each: (not each.planned, -each.share)))


def _quantities(actions: tuple[Action, ...]) -> Counter[tuple[str, str, str]]:
    counted: Counter[tuple[str, str, str]] = Counter()
    for action in actions:
        counted[action.site, str(action.kind), action.item] += action.quantity
    return counted


def _standing(share: float) -> Standing:
    if share >= SAFE_FROM:
        return "safe"
    return "rarely" if share <= RARE_TO else "depends"
