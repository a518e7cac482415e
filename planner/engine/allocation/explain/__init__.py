"""Why a plan does what it does, in words and numbers that a health officer can check."""

from planner.engine.allocation.explain.limits import (
    LimitCost,
    NextMoney,
    limit_costs,
    next_money,
)
from planner.engine.allocation.explain.missed import Missed, missed
from planner.engine.allocation.explain.packages import Package, packages
from planner.engine.allocation.explain.people import Fifth, SiteChange, fifths, site_changes
from planner.engine.allocation.explain.reasons import Reason, reasons
from planner.engine.allocation.explain.remaining import Remaining, after, remaining
from planner.engine.allocation.explain.shares import CoverageShare, coverage_shares

__all__ = [
    "CoverageShare",
    "Fifth",
    "LimitCost",
    "Missed",
    "NextMoney",
    "Package",
    "Reason",
    "Remaining",
    "SiteChange",
    "after",
    "coverage_shares",
    "fifths",
    "limit_costs",
    "missed",
    "next_money",
    "packages",
    "reasons",
    "remaining",
    "site_changes",
]
