"""Where the variables of the tight program are, and what their values say."""

from dataclasses import dataclass

import numpy as np

from planner.engine.allocation.arrays import Floats, Ints

NONE = -1


@dataclass(frozen=True)
class Columns:
    """Where the variables are: ``action`` sites × actions, ``share`` arcs × methods, ``move``
    moves, ``chosen`` (1 if a model of a standardised class is bought) models, ``pair`` (1 if
    it is reached) pairs of minimum sets, ``met`` (the part that is) targets; ``level`` is one,
    the share that groups are raised to.

    Entries are column numbers, or −1 where there is no variable.
    """

    action: Ints
    share: Ints
    move: Ints
    chosen: Ints
    pair: Ints
    met: Ints
    level: Ints

    def quantities(self, x: Floats) -> Ints:
        """Sites × actions, whole."""
        there = self.action != NONE
        quantities = np.zeros(self.action.shape, dtype=np.int64)
        quantities[there] = np.rint(x[self.action[there]]).astype(np.int64)
        return quantities

    def moved(self, x: Floats) -> Ints:
        """Units moved by each move, whole."""
        there = self.move != NONE
        moved = np.zeros(len(self.move), dtype=np.int64)
        moved[there] = np.rint(x[self.move[there]]).astype(np.int64)
        return moved

    def shares(self, x: Floats) -> Floats:
        """Arcs × methods, 0 to 1."""
        there = self.share != NONE
        shares = np.zeros(self.share.shape)
        shares[there] = x[self.share[there]]
        return shares
