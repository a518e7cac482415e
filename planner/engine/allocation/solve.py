"""From a case to a result: the best plan within the limits, and what is possible today."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.asked import Asked
from planner.engine.allocation.backend import SOLVERS, SolverName
from planner.engine.allocation.backend.answer import Answer, SolverError
from planner.engine.allocation.contradictions import refuse_contradictions
from planner.engine.allocation.easing import reasons
from planner.engine.allocation.finish import finished
from planner.engine.allocation.instance import Instance, instance_of
from planner.engine.allocation.national import may_split, planned_by_sites
from planner.engine.allocation.outcome import excluded, planned
from planner.engine.allocation.progress import Progress, Watch, gap_between
from planner.engine.allocation.search import best_plan
from planner.engine.allocation.stages import staged
from planner.engine.allocation.tight import TightModel, tight_model
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result
from planner.engine.errors import EngineError, NoPlanError

_PROVEN = 1e-9


def plan(
    case: Case,
    *,
    gap: float = 0.001,
    seconds: float = 300.0,
    solver: SolverName = "highs",
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Result:
    """The plan of greatest worth that the limits of ``case`` allow, to a relative ``gap``.

    Where the case asks for something first (minimum sets, targets at least money, the worst-off
    first), it is that of greatest worth among those that do as well in all of it.

    The same case gives the same plan, unless time runs out first. ``progress`` is called
    about twice a second; once ``cancelled`` returns true the run ends within two seconds
    with the best plan so far. Where HiGHS fails, CBC takes over.

    Every plan is judged by ``verify`` before it is handed out. Raises ``NoPlanError`` if none
    was found before time was up or the run cancelled, ``InputError`` where the case fixes an
    action that its site cannot take, ``EngineError`` where the figures of the case are so far
    apart that the solver's arithmetic cannot keep to the limits.
    """
    watch = Watch(seconds, progress, cancelled)
    watch.enter("preparing")
    try:
        instance = instance_of(case)
        refuse_contradictions(case, instance)
        result = _solved(case, instance, solver, watch, gap)
    except (OverflowError, ZeroDivisionError) as error:
        raise _too_far_apart(
            f"A figure of the case is beyond what can be computed ({error})."
        ) from error
    if wrong := verify(case, result):
        raise _too_far_apart(f"The plan that was found breaks a rule. {wrong[0].text}")
    return result


def today(case: Case, *, seconds: float = 300.0, solver: SolverName = "highs") -> Result:
    """What the sites can do with what they have, and which volumes that means.

    No buying, repair, training or providing; floors are left aside. Raises ``NoPlanError``
    if time is up first.
    """
    return _today(case, instance_of(case), solver, Watch(seconds))


def _solved(case: Case, instance: Instance, solver: SolverName, watch: Watch, gap: float) -> Result:
    try:
        return _plan(case, instance, solver, watch, gap)
    except SolverError:
        if solver == "cbc":
            raise
        return _plan(case, instance, "cbc", watch, gap)


def _plan(case: Case, instance: Instance, solver: SolverName, watch: Watch, gap: float) -> Result:
    name = SOLVERS[solver].NAME
    by_sites = None
    if solver == "highs" and may_split(case):
        by_sites = planned_by_sites(case, instance, watch, gap, at_each_site=lambda: _attend(watch))
    if by_sites is not None and by_sites.is_final:
        return by_sites.result(name, watch.seconds)
    watch.enter("today")
    before = _today(case, instance, solver, watch).objective_before
    watch.enter("preparing")
    model = tight_model(instance, at_each_site=lambda: _attend(watch))
    secured = staged(model, solver, watch, gap=gap)
    model = secured.model
    known = None if by_sites is None else by_sites.point(model)
    answer = secured.impossible or best_plan(model.program, solver, watch, gap=gap, known=known)
    if answer.x is None and secured.latest is not None:
        answer = _so_far(model, secured.latest, answer)
    if answer.ending == "infeasible":
        watch.enter("reasons")
        why = reasons(case, instance, SOLVERS[solver], watch)
        return excluded(case, why, before=before, solver=name, seconds=watch.seconds)
    if answer.x is None:
        raise _no_plan(watch)
    watch.enter("finishing")
    proven = gap_between(answer.value, answer.bound) <= _PROVEN
    x = finished(model, answer.x, SOLVERS[solver], watch, proven=proven)
    return planned(
        case,
        instance,
        model.columns.quantities(x),
        model.columns.moved(x),
        model.columns.shares(x),
        bound=answer.bound,
        asked_gap=gap,
        before=before,
        solver=name,
        seconds=watch.seconds,
        sought=secured.sought(),
    )


def _so_far(model: TightModel, x: Floats, answer: Answer) -> Answer:
    """The plan of the stages before, where time was up before a better one was found."""
    value = model.program.value(x)
    everything = float(model.instance.bounds.possible.sum())
    bound = min(answer.bound, everything) if answer.ending != "infeasible" else everything
    return Answer("stopped", x, value, max(value, bound))


def _today(case: Case, instance: Instance, solver: SolverName, watch: Watch) -> Result:
    as_it_is = _without_actions(instance)
    model = tight_model(as_it_is, at_each_site=lambda: _attend(watch))
    answer = SOLVERS[solver].maximise(model.program, watch)
    if answer.x is None:
        raise _no_plan(watch)
    x = finished(model, answer.x, SOLVERS[solver], watch, proven=False)
    return planned(
        case,
        as_it_is,
        model.columns.quantities(x),
        model.columns.moved(x),
        model.columns.shares(x),
        bound=answer.bound,
        asked_gap=0.0,
        before=None,
        solver=SOLVERS[solver].NAME,
        seconds=watch.seconds,
    )


def _without_actions(instance: Instance) -> Instance:
    places, bounds = instance.places, instance.bounds
    return replace(
        instance,
        places=replace(places, least=np.zeros_like(places.least), most=np.zeros_like(places.most)),
        bounds=replace(bounds, floor=np.zeros_like(bounds.floor)),
        moves=instance.moves.without(),
        asked=Asked(),
    )


def _too_far_apart(problem: str) -> EngineError:
    return EngineError(
        problem,
        remedy="Its figures are too far apart to compute with: look for a cost, an hour or a "
        "number of tests that is in the wrong unit.",
    )


def _attend(watch: Watch) -> None:
    watch.tick()
    if watch.left == 0.0:
        raise _no_plan(watch)


def _no_plan(watch: Watch) -> NoPlanError:
    if watch.cancelled:
        return NoPlanError(
            f"The run was cancelled after {watch.seconds:.0f} s, before a plan was found.",
            remedy="Start it again to get one.",
        )
    return NoPlanError(
        f"No plan was found within {watch.seconds:.0f} s.",
        remedy="Allow more time, or plan fewer sites at once.",
    )
