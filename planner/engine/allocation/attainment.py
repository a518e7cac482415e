"""How far a plan gets in what its case asks for, recomputed from its actions and volumes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import fsum

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.asked import Group
from planner.engine.allocation.instance import Instance
from planner.engine.answering import GroupReached, Reached, Stage, TargetReached
from planner.engine.asking import LeastMoney
from planner.engine.case import Case

_ROUNDING = 1e-6  # relative
_NOT_POSSIBLE = "No method of it can be made to run at the site or where its specimens may go."
_NOT_BESIDE = "Within the limits no plan reaches it beside all the others that are reached."
_NOT_FOUND = "No plan was found that reaches it beside all the others that are reached."


@dataclass(frozen=True)
class Sought:
    """What was sought before most tests: ``stages`` as they were proved, the worth that each
    group could ``attain``, and for each pair whether it is ``possible`` at all."""

    stages: tuple[Stage, ...] = ()
    attainable: tuple[float, ...] = ()
    possible: tuple[bool, ...] = ()


@dataclass(frozen=True)
class Attained:
    """The parts of a result of version 2 that say how far the plan gets."""

    stages: tuple[Stage, ...] = ()
    minimum_sets: tuple[Reached, ...] = ()
    targets: tuple[TargetReached, ...] = ()
    groups: tuple[GroupReached, ...] = field(default=())


def attained(
    case: Case, instance: Instance, sought: Sought, volumes: Floats, spent: float, last: Stage
) -> Attained:
    """What a plan of ``volumes`` (arcs × methods, a year) that spends ``spent`` attains."""
    if case.version == 1:
        return Attained()
    asked = instance.asked
    pairs = tuple(_pairs(instance, sought, volumes))
    targets = [_worth(instance, volumes, group) for group, _ in asked.targets]
    reached = [
        worth / group.possible if group.possible else 1.0
        for worth, (group, _) in zip(targets, asked.targets, strict=True)
    ]
    now = {
        "minimum_sets": float(sum(pair.reached for pair in pairs)),
        "targets": fsum(
            min(1.0, part / share) if share else 1.0
            for part, (_, share) in zip(reached, asked.targets, strict=True)
        ),
        "money": spent,
    }
    return Attained(
        stages=(*(_again(stage, now) for stage in sought.stages), last),
        minimum_sets=pairs,
        targets=tuple(_targets(case, reached)),
        groups=tuple(
            GroupReached(code=group.code, attainable=most, reached=_worth(instance, volumes, group))
            for group, most in zip(asked.groups, sought.attainable, strict=False)
        ),
    )


def gap_of(stages: Iterable[Stage]) -> float:
    """The widest gap of all stages."""
    return max((stage.gap for stage in stages), default=0.0)


def _again(stage: Stage, now: dict[str, float]) -> Stage:
    """The stage with what the plan that is reported reaches, which may be a little more."""
    reached = now.get(stage.of, stage.reached)
    beyond = min if stage.of == "money" else max
    bound = beyond(stage.bound, reached)
    gap = abs(bound - reached) / max(abs(reached), 1e-9)
    return stage.model_copy(update={"reached": reached, "bound": bound, "gap": gap})


def _pairs(instance: Instance, sought: Sought, volumes: Floats) -> Iterable[Reached]:
    if not instance.asked.pairs:
        return
    done: defaultdict[tuple[int, int], float] = defaultdict(float)
    places, test_of = instance.places, instance.catalogue.test_of
    for arc, method in zip(*volumes.nonzero(), strict=True):
        done[int(places.origin[arc]), int(test_of[method])] += float(volumes[arc, method])
    proven = all(stage.gap <= _ROUNDING for stage in sought.stages if stage.of == "minimum_sets")
    for pair, possible in zip(instance.asked.pairs, sought.possible, strict=True):
        asked = float(places.demand[pair.site, pair.test])
        share = done[pair.site, pair.test] / asked
        enough = pair.share * asked - done[pair.site, pair.test] <= _ROUNDING * max(1.0, asked)
        why = _NOT_BESIDE if proven else _NOT_FOUND
        yield Reached(
            set=pair.set_code,
            site=places.sites[pair.site],
            test=instance.catalogue.tests[pair.test],
            share=share,
            reached=enough,
            why="" if enough else why if possible else _NOT_POSSIBLE,
        )


def _targets(case: Case, reached: Sequence[float]) -> Iterable[TargetReached]:
    targets = case.aim.targets if isinstance(case.aim, LeastMoney) else ()
    # Nothing is asked of what the district does today: then there is none to report.
    for target, part in zip(targets, reached, strict=False):
        yield TargetReached(
            area=target.area, programme=target.programme, share=target.share, reached=part
        )


def _worth(instance: Instance, volumes: Floats, group: Group) -> float:
    catalogue, places = instance.catalogue, instance.places
    arc, method = volumes.nonzero()
    inside = group.sites[places.origin[arc]] & group.tests[catalogue.test_of[method]]
    arc, method = arc[inside], method[inside]
    return fsum(catalogue.value[method] * volumes[arc, method])
