"""What is computed beside a plan, in a share of its time: other budgets, and simple ways."""

import logging
from collections.abc import Callable

from apps.plans.adapters import Extras
from apps.plans.models import Run
from apps.plans.services.listening import tell
from planner.engine.allocation import Frontier, frontier
from planner.engine.allocation.baselines import Baseline, baselines, plain_question
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.errors import EngineError

log = logging.getLogger(__name__)

# Of the longest time that the search may take: a plan is not to wait long for its surroundings.
SHARE_FOR_BUDGETS = 0.25
SHARE_FOR_WAYS = 0.1
BUDGETS = 7
# Coarser than a plan: a curve is looked at, and each of its points costs a plan.
GAP = 0.01


def compared(
    run: Run, case: Case, result: Result, before: Result, cancelled: Callable[[], bool]
) -> Extras:
    """Budgets and simple ways for the answer ``result`` to ``case``.

    They end when their share of the time is up, or once ``cancelled`` returns true, with what
    there is. A failure of theirs is logged and leaves the plan as it is.
    """
    if result.status == "infeasible":
        return Extras()
    tell(run.pk, phase="comparing with simple ways and other budgets")
    return Extras(
        frontier=_frontier(run, case, cancelled),
        baselines=_baselines(run, case, before, cancelled),
    )


def _frontier(run: Run, case: Case, cancelled: Callable[[], bool]) -> Frontier | None:
    try:
        return frontier(
            case,
            points=BUDGETS,
            gap=max(GAP, run.plan.gap),
            seconds=SHARE_FOR_BUDGETS * run.plan.time_limit_s,
            cancelled=cancelled,
        )
    except EngineError as error:
        log.warning("Run %s has no frontier: %s", run.pk, error)
        return None


def _baselines(
    run: Run, case: Case, before: Result, cancelled: Callable[[], bool]
) -> tuple[Baseline, ...]:
    try:
        found = baselines(
            case,
            before=before.objective_before,
            seconds=SHARE_FOR_WAYS * run.plan.time_limit_s,
            cancelled=cancelled,
        )
    except EngineError as error:
        log.warning("Run %s is compared with no simple way: %s", run.pk, error)
        return ()
    plain = plain_question(case)
    wrong = {each.way for each in found if verify(plain, each.result)}
    if wrong:
        log.error("Run %s: the judge refused the simple ways %s", run.pk, sorted(wrong))
    return tuple(each for each in found if each.way not in wrong)
