"""Drafting plans, starting and stopping their runs, and computing them."""

from apps.plans.services.computing import compute_run
from apps.plans.services.drafting import draft_plan
from apps.plans.services.running import beat, cancel_run, mark_interrupted, start_run

__all__ = ["beat", "cancel_run", "compute_run", "draft_plan", "mark_interrupted", "start_run"]
