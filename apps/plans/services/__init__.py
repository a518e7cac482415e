"""Drafting plans, starting and stopping their runs, computing them, and deciding on them."""

from apps.plans.services.computing import compute_run
from apps.plans.services.deciding import (
    approve_plan,
    propose_plan,
    send_back,
    withdraw_proposal,
)
from apps.plans.services.drafting import draft_plan
from apps.plans.services.reviewing import add_note, close_note
from apps.plans.services.running import beat, cancel_run, mark_interrupted, start_run

__all__ = [
    "add_note",
    "approve_plan",
    "beat",
    "cancel_run",
    "close_note",
    "compute_run",
    "draft_plan",
    "mark_interrupted",
    "propose_plan",
    "send_back",
    "start_run",
    "withdraw_proposal",
]
