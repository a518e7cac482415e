"""What a study of a plan finds."""

from dataclasses import dataclass
from typing import Literal

from planner.engine.allocation.robustness.assumptions import Assumptions
from planner.engine.allocation.robustness.figures import Spread
from planner.engine.case import Action

SAFE_FROM = 0.9
"""An action is safe to order now if at least this share of the draws' own best plans has it."""

RARE_TO = 0.1
"""An action is rare if at most this share of them has it."""

Standing = Literal["safe", "depends", "rarely"]


@dataclass(frozen=True)
class Frequency:
    """How often the best plan for a draw takes an action at least ``quantity`` times.

    ``planned`` says whether the plan under study takes it, ``quantity`` how often (else 1).
    ``possible`` is the number of draws that could, of which ``share`` is one: a repair is only
    asked about where it would succeed. Moves are told by where they end.
    """

    site: str
    kind: str
    item: str
    quantity: int
    planned: bool
    possible: int
    share: float
    standing: Standing


@dataclass(frozen=True)
class Candidate:
    """A plan over all draws: ``source`` is "plan" or the draw that it is best for.

    ``regret`` is relative to the best that was found for each draw.
    """

    source: str
    worth: Spread
    worst_tenth: float
    mean_regret: float
    actions: tuple[Action, ...]


@dataclass(frozen=True)
class Robustness:
    """A plan under ``draws`` futures (``asked`` for more if the run was cancelled).

    ``worth`` is what the plan does in them; ``regret`` what knowing each future in advance
    would have brought beyond it, as a share of that best; ``regret_at_most`` the mean if each
    of those best plans were as good as its bound. ``overspent`` is the share of draws in which
    part of the plan could not be paid for. ``candidates`` are the plan and some of the draws'
    own, the best in the worst tenth first: the best of these, which proves nothing of others.
    """

    draws: int
    asked: int
    seed: int
    assumptions: Assumptions
    worth: Spread
    worst_tenth: float
    regret: Spread
    regret_at_most: float
    overspent: float
    actions: tuple[Frequency, ...]
    candidates: tuple[Candidate, ...]
