"""What can go wrong, said so that the reader knows what to do next."""

from collections.abc import Iterable


class EngineError(Exception):
    """A problem and its remedy: ``problem`` says what is wrong and where, ``remedy`` what to do."""

    def __init__(self, problem: str, *, remedy: str) -> None:
        super().__init__(f"{problem} {remedy}")
        self.problem = problem
        self.remedy = remedy


class InputError(EngineError):
    """A case or result that cannot be used: ``problems`` holds one line for each mistake.

    Each line names its place first, as in ``sites[3].demand.malaria: expected a number ≥ 0,
    found "many"``. At most ``SHOWN`` lines are kept; ``count`` is the true number of mistakes.
    """

    SHOWN = 100

    def __init__(self, what: str, problems: Iterable[str], *, count: int | None = None) -> None:
        kept = tuple(problems)
        self.count = len(kept) if count is None else count
        self.problems = kept[: self.SHOWN]
        number = "1 mistake" if self.count == 1 else f"{self.count} mistakes"
        super().__init__(
            f"The {what} has {number}.", remedy="Correct the places named and read it again."
        )


class NoPlanError(EngineError):
    """No plan was found, for a reason other than limits that exclude each other."""
