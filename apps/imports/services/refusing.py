"""Where the register is not as somebody's edits expect."""

NOT_UNDONE = "Nothing was undone. Change the rows by hand, or undo the later changes first."


class NotAsExpectedError(Exception):
    """The register is not as the edits expect; nothing of them may be kept."""

    def __init__(self, problem: str, *, remedy: str) -> None:
        super().__init__(f"{problem} {remedy}")
