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


class ActionKind(models.TextChoices):
    BUY = "buy", "Buy"
    REPAIR = "repair", "Repair"
    TRAIN = "train", "Train"
    PROVIDE = "provide", "Provide"
    MOVE = "move", "Move"
