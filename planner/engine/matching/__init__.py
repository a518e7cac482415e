"""Device specifications against the requirements of methods: met, not met or unknown, and why.

A specification that is missing, or of a kind that the condition cannot be held against, is
unknown: it neither meets the condition nor fails it, and comes with what would settle it.
Rules: "Conditions" in ``planner/docs/case-format.md``.
"""

from planner.engine.matching.findings import (
    Finding,
    Match,
    check,
    condition_in_words,
    match,
    need_in_words,
)
from planner.engine.matching.suitability import Suitability, suitability
from planner.engine.matching.verdicts import Verdict

__all__ = [
    "Finding",
    "Match",
    "Suitability",
    "Verdict",
    "check",
    "condition_in_words",
    "match",
    "need_in_words",
    "suitability",
]
