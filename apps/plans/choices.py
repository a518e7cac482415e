from django.db import models


class RunState(models.TextChoices):
    """Where a run stands. Only ``QUEUED`` and ``RUNNING`` may still change."""

    QUEUED = "queued", "Waiting"
    RUNNING = "running", "Running"
    DONE = "done", "Done"
    FAILED = "failed", "Failed"
    CANCELLED = "cancelled", "Cancelled"
    INTERRUPTED = "interrupted", "Interrupted"


UNFINISHED = (RunState.QUEUED, RunState.RUNNING)


class PlanState(models.TextChoices):
    """How far a plan has got on its way to a decision."""

    DRAFT = "draft", "Draft"
    PROPOSED = "proposed", "Proposed"
    SENT_BACK = "sent_back", "Sent back"
    APPROVED = "approved", "Approved"


# Computed again only here: what somebody proposed or approved must stay what it was.
OPEN_TO_CHANGE = (PlanState.DRAFT, PlanState.SENT_BACK)


class StepKind(models.TextChoices):
    """What somebody did with a plan on its way."""

    PROPOSED = "proposed", "Proposed"
    WITHDRAWN = "withdrawn", "Proposal withdrawn"
    SENT_BACK = "sent_back", "Sent back"
    APPROVED = "approved", "Approved"


class ActionKind(models.TextChoices):
    BUY = "buy", "Buy"
    REPAIR = "repair", "Repair"
    TRAIN = "train", "Train"
    PROVIDE = "provide", "Provide"
    MOVE = "move", "Move"
