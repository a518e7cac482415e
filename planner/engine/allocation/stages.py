"""One aim after the other: each is sought among the plans that do as well in all before it.

The order: as many pairs of the minimum sets as possible; then the targets at least money, or
the worst-off group as high as possible and so on; last the most tests.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from planner.engine.allocation.arrays import Floats
from planner.engine.allocation.asked import Group
from planner.engine.allocation.attainment import Sought
from planner.engine.allocation.backend import SolverName
from planner.engine.allocation.backend.answer import Answer
from planner.engine.allocation.draft import NONE
from planner.engine.allocation.program import Program
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.search import best_plan
from planner.engine.allocation.tight import TightModel
from planner.engine.answering import Sought as SoughtKind
from planner.engine.answering import Stage

SLACK = 1e-7
"""Relative: by so little a later stage may fall behind an earlier one, for solvers' rounding."""
_SHARE_OF_TIME = 0.4  # of what is left, for one stage before the last


@dataclass
class Staged:
    """The program with what the stages so far have secured, and what they reached.

    ``latest`` is the last plan found; ``attainable`` has the worth that each group could get.
    ``impossible`` is the answer of the first stage if no plan keeps all limits.
    """

    model: TightModel
    solver: SolverName
    watch: Watch
    gap: float
    stages: list[Stage] = field(default_factory=list)
    attainable: list[float] = field(default_factory=list)
    latest: Floats | None = None
    impossible: Answer | None = None

    @property
    def program(self) -> Program:
        return self.model.program

    def seek(self, gain: Floats, *, gap: float) -> Answer:
        """The best plan for ``gain`` among those that keep what is secured."""
        with self.watch.aside(_SHARE_OF_TIME):
            answer = best_plan(self.program.aiming_at(gain), self.solver, self.watch, gap=gap)
        if answer.ending == "infeasible" and self.latest is None:
            self.impossible = answer
        if answer.x is not None:
            self.latest = answer.x
        return answer

    def sought(self) -> Sought:
        """What the stages reached and proved, for the result."""
        return Sought(tuple(self.stages), tuple(self.attainable), tuple(self._possible()))

    def _possible(self) -> Iterator[bool]:
        """Of each pair of the minimum sets, whether anything can serve it at all."""
        arc, method = np.nonzero(self.model.columns.share != NONE)
        origin = self.model.instance.places.origin[arc]
        test = self.model.instance.catalogue.test_of[method]
        served = set(zip(origin.tolist(), test.tolist(), strict=True))
        for pair in self.model.instance.asked.pairs:
            yield (pair.site, pair.test) in served

    def secure(self, column_factors: Floats, least: float) -> None:
        """From now on the weighted sum of columns is at least ``least``."""
        self.model = replace(
            self.model, program=self.program.requiring(column_factors, lower=least)
        )

    def reached(
        self, of: SoughtKind, value: float, bound: float, groups: tuple[str, ...] = ()
    ) -> None:
        value, bound = max(0.0, value), max(0.0, bound)
        gap = abs(bound - value) / max(abs(value), 1e-9)
        self.stages.append(Stage(of=of, groups=groups, reached=value, bound=bound, gap=gap))


def staged(model: TightModel, solver: SolverName, watch: Watch, *, gap: float) -> Staged:
    """All stages but the last, secured in the program that is left for it."""
    found = Staged(model, solver, watch, gap)
    asked = model.instance.asked
    for is_asked, stage in (
        (asked.pairs, _minimum_sets),
        (asked.targets, _targets),
        (asked.least_money, _money),
        (asked.groups, _worst_first),
    ):
        if is_asked and found.impossible is None:
            stage(found)
    return found


def _minimum_sets(found: Staged) -> None:
    """(14) As many pairs as possible."""
    gain = found.model.marking(found.model.columns.pair)
    pairs = len(found.model.columns.pair)
    answer = found.seek(gain, gap=0.5 / pairs)
    if answer.x is not None:
        count = round(float(gain @ answer.x))
        found.secure(gain, count)
        found.reached("minimum_sets", count, max(count, int(answer.bound + SLACK * pairs)))


def _targets(found: Staged) -> None:
    """(15) As many targets as possible, or the largest parts of them."""
    gain = found.model.marking(found.model.columns.met)
    answer = found.seek(gain, gap=SLACK)
    if answer.x is not None:
        parts = float(gain @ answer.x)
        found.secure(gain, parts * (1 - SLACK))
        found.reached("targets", parts, max(parts, min(answer.bound, len(gain[gain > 0]))))


def _money(found: Staged) -> None:
    """As little capital and earmarks as possible."""
    gain = -(found.model.spending - found.model.running_cost)
    answer = found.seek(gain, gap=found.gap)
    if answer.x is not None:
        spent = -float(gain @ answer.x)
        found.secure(gain, -spent * (1 + SLACK) - SLACK)
        found.reached("money", spent, min(spent, -answer.bound))


def _worst_first(found: Staged) -> None:
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
