"""From the rows of the register to a planning case, and from what is found to rows."""

from apps.coverage.adapters.findings import Found, findings
from apps.coverage.adapters.freezing import Frozen, freeze, freeze_as_it_stands
from apps.coverage.adapters.register import LeftOut
from apps.coverage.adapters.unknowns import SecondLook, Unknowns, supposing_the_best

__all__ = [
    "Found",
    "Frozen",
    "LeftOut",
    "SecondLook",
    "Unknowns",
    "findings",
    "freeze",
    "freeze_as_it_stands",
    "supposing_the_best",
]
