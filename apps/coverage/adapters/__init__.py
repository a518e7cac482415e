"""From the rows of the register to a planning case, and from what is found to rows."""

from apps.coverage.adapters.findings import Found, findings
from apps.coverage.adapters.freezing import Frozen, freeze, freeze_as_it_stands
from apps.coverage.adapters.register import LeftOut
from apps.coverage.adapters.unknowns import SecondLook, Unknowns, supposing_the_best
from apps.coverage.adapters.versions import CellChange, cell_changes, planning_lists, under

__all__ = [
    "CellChange",
    "Found",
    "Frozen",
    "LeftOut",
    "SecondLook",
    "Unknowns",
    "cell_changes",
    "findings",
    "freeze",
    "freeze_as_it_stands",
    "planning_lists",
    "supposing_the_best",
    "under",
]
