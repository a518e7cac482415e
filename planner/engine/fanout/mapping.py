"""A function over many items: parts are handed out, and come back in any order.

Each item is worked on by itself, with one thread, so that an answer does not depend on who
works or on how many there are. Answers stand in the order of the items.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass
from math import ceil
from typing import Generic, Protocol, TypeVar

from planner.engine.errors import EngineError

Item = TypeVar("Item")
Answer = TypeVar("Answer")

MOST_LOSSES = 3
"""Times that workers may be lost with nothing done in between; then the work itself kills them."""

_PARTS_FOR_EACH = 8  # so that no worker waits long for the last part of another
_SECONDS_BETWEEN_QUESTIONS = 0.1


@dataclass(frozen=True)
class Done:
    """How many items are done, of how many."""

    done: int
    of: int


class Team(Protocol):
    """Who does the work: ``size`` workers, none of them started before ``start``.

    ``losses`` are what a part raises if its worker is lost. ``dismiss`` ends the workers, in
    the middle of their work if ``at_once``.
    """

    @property
    def size(self) -> int: ...

    @property
    def losses(self) -> tuple[type[BaseException], ...]: ...

    def start(self) -> Executor: ...

    def dismiss(self, *, at_once: bool) -> None: ...


class _AtOnce(Executor):
    """Works when it is asked for the answer, so that there is time for questions in between."""

    def submit(self, fn, /, *args, **kwargs):  # type: ignore[no-untyped-def]
        future: Future[object] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


class Here:
    """This very process, one item after the other."""

    size = 1
    losses: tuple[type[BaseException], ...] = (BrokenExecutor,)

    def start(self) -> Executor:
        return _AtOnce()

    def dismiss(self, *, at_once: bool) -> None:
        """Nobody to dismiss."""


@dataclass(frozen=True)
class _Failed:
    """An ``EngineError`` on its way home: not all of them can be pickled."""

    problem: str
    remedy: str


@dataclass
class _Work(Generic[Item, Answer]):
    """Which parts are left, and what has come back."""

    function: Callable[[Item], Answer]
    parts: dict[int, Sequence[Item]]
    answers: list[Answer | None]
    progress: Callable[[Done], None] | None
    cancelled: Callable[[], bool]
    done: int = 0

    def round(self, team: Team) -> bool:
        """Work until all is done or a worker is lost; whether to go on."""
        executor, at_once = team.start(), True
        try:
            waiting: dict[Future[list[Answer] | _Failed], int] = {}
            for first, part in list(self.parts.items()):
                if self.cancelled():
                    return False
                future = executor.submit(_each, self.function, part)
                waiting[future] = first
                if future.done():
                    self._take(future, waiting.pop(future))
            while waiting:
                back, _ = wait(waiting, _SECONDS_BETWEEN_QUESTIONS, FIRST_COMPLETED)
                lost = [f for f in back if isinstance(f.exception(), team.losses)]
                for future in sorted(back - set(lost), key=waiting.__getitem__):
                    self._take(future, waiting.pop(future))
                if lost:
                    return True
                if self.cancelled():
                    return False
            at_once = False
        except team.losses:
            return True
        finally:
            team.dismiss(at_once=at_once)
        return False

    def _take(self, future: "Future[list[Answer] | _Failed]", first: int) -> None:
        answers = future.result()
        if isinstance(answers, _Failed):
            raise EngineError(answers.problem, remedy=answers.remedy)
        self.answers[first : first + len(answers)] = answers
        del self.parts[first]
        self.done += len(answers)
        if self.progress is not None:
            self.progress(Done(self.done, len(self.answers)))


def fan_out(
    function: Callable[[Item], Answer],
    items: Sequence[Item],
    *,
    team: Team,
    part: int | None = None,
    progress: Callable[[Done], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> list[Answer | None]:
    """``function`` of each of ``items``, in their order, worked out by ``team``.

    ``function`` and its answers must be picklable and depend on nothing but the item.
    ``part`` items are handed out together. A part whose worker is lost is done again.
    Once ``cancelled`` returns true the workers are ended within two seconds and what is not
    done yet is ``None`` (``Here`` finishes its part first). Raises what ``function`` raises
    first, as an ``EngineError`` where it is one, and ``EngineError`` where workers are lost
    ``MOST_LOSSES`` times with nothing done in between.
    """
    size = part or max(1, ceil(len(items) / (_PARTS_FOR_EACH * team.size)))
    parts = {first: items[first : first + size] for first in range(0, len(items), size)}
    answers: list[Answer | None] = [None] * len(items)
    work = _Work(function, parts, answers, progress, cancelled or (lambda: False))
    losses, done = 0, 0
    while work.parts and work.round(team):
        losses = 1 if work.done > done else losses + 1
        done = work.done
        if losses >= MOST_LOSSES:
            raise EngineError(
                f"Workers were lost {losses} times in a row while nothing was done.",
                remedy="Look for what ends them, for example too little memory, and try again "
                "with fewer processes.",
            )
    return work.answers


def _each(function: Callable[[Item], Answer], items: Sequence[Item]) -> list[Answer] | _Failed:
    try:
        return [function(item) for item in items]
    except EngineError as error:
        return _Failed(error.problem, error.remedy)
