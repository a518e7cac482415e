"""What sites lack for the tests that are asked of them, and the cheapest way to get it."""

from planner.engine.gaps.fixes import Fix, FixAction, MethodFixes
from planner.engine.gaps.missing import Missing, missing, missing_names, no_fix_in_words, questions

__all__ = [
    "Fix",
    "FixAction",
    "MethodFixes",
    "Missing",
    "missing",
    "missing_names",
    "no_fix_in_words",
    "questions",
]
