"""One aim after the other: each is sought among the plans that do as well in all before it.

The order: as many pairs of the minimum sets as possible; then the targets at least money, or
the worst-off group as high as possible and so on; last the most tests.
"""

from planner.engine.allocation.backend import SolverName
from planner.engine.allocation.progress import Watch
from planner.engine.allocation.raising import worst_first
from planner.engine.allocation.securing import SLACK, Staged
from planner.engine.allocation.tight import TightModel


def staged(model: TightModel, solver: SolverName, watch: Watch, *, gap: float) -> Staged:
    """All stages but the last, secured in the program that is left for it."""
    found = Staged(model, solver, watch, gap)
    asked = model.instance.asked
    for is_asked, stage in (
        (asked.pairs, _minimum_sets),
        (asked.targets, _targets),
        (asked.least_money, _money),
        (asked.groups, worst_first),
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
