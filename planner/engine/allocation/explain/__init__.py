"""Why a plan does what it does, in words and numbers that a health officer can check."""

from planner.engine.allocation.explain.reasons import Reason, reasons
from planner.engine.allocation.explain.shares import CoverageShare, coverage_shares

__all__ = ["CoverageShare", "Reason", "coverage_shares", "reasons"]
