"""Which tests each site can run, where people go otherwise, and what stands in the way.

``assess`` works out every cell; the states and which of them takes precedence are in
``planner.engine.coverage.assessment``.
"""

from collections.abc import Mapping

import pandas as pd

from planner.engine.case import Case
from planner.engine.coverage.assessment import STATES, Assessment, State
from planner.engine.coverage.cells import Cell, MethodCell, Referral, cell_in_words
from planner.engine.coverage.listing import listing
from planner.engine.errors import EngineError
from planner.engine.gaps import Fix, FixAction, Missing

__all__ = [
    "STATES",
    "Cell",
    "Coverage",
    "Fix",
    "FixAction",
    "MethodCell",
    "Missing",
    "Referral",
    "State",
    "assess",
]


class Coverage(Assessment):
    """The arrays of an ``Assessment``, and its cells in words."""

    def cell(self, site_code: str, test_code: str) -> Cell:
        """One cell in words. Raises ``EngineError`` for a code that the case does not have."""
        site = _position("site", self.situation.site_position, site_code)
        test = _position("test", self.situation.test_position, test_code)
        return cell_in_words(self, site, test)

    def table(self) -> pd.DataFrame:
        """One row of text for each site and test, in the order of the case; see ``listing``."""
        return listing(self)


def assess(case: Case) -> Coverage:
    """What every site of ``case`` can do today with each test, and what would change it."""
    return Coverage.of(case)


def _position(what: str, positions: Mapping[str, int], code: str) -> int:
    if code not in positions:
        raise EngineError(
            f"The case has no {what} with code {code!r}.",
            remedy=f"Use the code of one of its {what}s.",
        )
    return positions[code]
