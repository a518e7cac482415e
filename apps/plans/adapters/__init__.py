"""Between a plan and the engine: its question on the way in, lines and figures on the way out."""

from apps.plans.adapters.answers import lines, summary
from apps.plans.adapters.asking import Asked, IdleUnit, Ruled, asked_of, read_asked
from apps.plans.adapters.extras import Extras, extras
from apps.plans.adapters.freezing import case_of

__all__ = [
    "Asked",
    "Extras",
    "IdleUnit",
    "Ruled",
    "asked_of",
    "case_of",
    "extras",
    "lines",
    "read_asked",
    "summary",
]
