"""What a run of a plan came to, arranged for its page and for the comparison of plans."""

from apps.web.plan_parts.arranged import ARRANGED, arranged
from apps.web.plan_parts.asked import asked_in_words
from apps.web.plan_parts.budgets import budgets
from apps.web.plan_parts.compared import compared
from apps.web.plan_parts.people import people
from apps.web.plan_parts.reached import reached
from apps.web.plan_parts.running import running
from apps.web.plan_parts.ways import ways

__all__ = [
    "ARRANGED",
    "arranged",
    "asked_in_words",
    "budgets",
    "compared",
    "people",
    "reached",
    "running",
    "ways",
]
