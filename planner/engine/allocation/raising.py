"""The worst-off group as high as possible, then the next, and so on."""

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.asked import Group
from planner.engine.allocation.securing import SLACK, Staged


def worst_first(found: Staged) -> None:
    """(16) The worst-off groups as high as possible, then those of the others, and so on.

    A group's share is that of the most that a plan for it alone was found to attain. After
    each rise every group is tried alone; those that cannot rise by more than the solver's gap
    stay where they are.
    """
    groups = found.model.instance.asked.groups
    worths = [found.model.worth_of(group) for group in groups]
    for group, worth in zip(groups, worths, strict=True):
        attained = _attainable(found, group, worth)
        if found.impossible is not None:
            return
        found.attainable.append(attained)
    rising = {number for number, most in enumerate(found.attainable) if most > 0}
    while rising and found.watch.left > 0:
        stuck = _rise(found, worths, rising)
        if not stuck:
            return
        rising -= stuck


def _attainable(found: Staged, group: Group, worth: Floats) -> float:
    answer = found.seek(worth, gap=found.gap)
    return 0.0 if answer.x is None else float(worth @ answer.x)


def _rise(found: Staged, worths: list[Floats], rising: set[int]) -> set[int]:
    """Raise the lowest of the ``rising``, and secure them; which of them can rise no further."""
    secured = found.model
    level = found.model.marking(found.model.columns.level)
    for number in rising:
        found.secure(worths[number] - found.attainable[number] * level, 0.0)
    answer = found.seek(level, gap=found.gap)
    found.model = secured
    if answer.x is None:
        return set()
    share, bound = float(level @ answer.x), max(float(level @ answer.x), answer.bound)
    for number in rising:
        found.secure(worths[number], share * found.attainable[number] * (1 - SLACK))
    stuck = _stuck(found, worths, rising, share)
    codes = tuple(found.model.instance.asked.groups[number].code for number in sorted(stuck))
    found.reached("worst_first", share, bound, codes)
    return stuck


def _stuck(found: Staged, worths: list[Floats], rising: set[int], share: float) -> set[int]:
    """Groups that cannot rise above ``share`` while all others keep what is secured."""
    highest = dict.fromkeys(sorted(rising), 0.0)
    enough = share * (1 + 2 * found.gap) + SLACK
    for number in highest:
        if highest[number] <= enough and found.watch.left > 0:
            answer = found.seek(worths[number], gap=found.gap)
            for other in highest if answer.x is not None else ():
                reached = float(worths[other] @ np.asarray(answer.x)) / found.attainable[other]
                highest[other] = max(highest[other], reached)
    stuck = {number for number, reached in highest.items() if reached <= enough}
    # The gap may hide that one cannot rise; without this the search would not end.
    return stuck or {min(highest, key=lambda number: highest[number])}
