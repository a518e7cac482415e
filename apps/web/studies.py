"""Studies of devices and methods, with their shares and intervals in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from apps.web.figures import figures, share_text
from planner.engine.intervals import wilson


@dataclass(frozen=True)
class ShareWords:
    """A share with its 95 % interval; ``ours`` where the interval was worked out from counts."""

    words: str
    ours: bool = False


@dataclass(frozen=True)
class StudyRow:
    """A study with its shares in words; ``None``: not reported."""

    study: Any
    sensitivity: ShareWords | None
    specificity: ShareWords | None


def study_rows(studies: Iterable[Any]) -> tuple[StudyRow, ...]:
    """Studies of a model or a method, ready to be shown."""
    return tuple(
        StudyRow(
            study,
            share_of_study(study, "sensitivity", "true_positive", "false_negative"),
            share_of_study(study, "specificity", "true_negative", "false_positive"),
        )
        for study in studies
    )


def share_of_study(study: Any, name: str, right: str, wrong: str) -> ShareWords | None:
    """``sensitivity`` or ``specificity`` of a study with its interval; ``None``: not reported.

    Where only counts are reported, the share and its score interval are worked out from them.
    """
    share, low, high = (getattr(study, f"{name}{end}") for end in ("", "_low", "_high"))
    if share is None:
        hits, misses = getattr(study, right), getattr(study, wrong)
        if hits is None or misses is None or not hits + misses:
            return ShareWords(_between(low, high)) if low is not None else None
        found_low, found_high = (float(end) for end in wilson(hits, hits + misses))
        words = f"{share_text(hits / (hits + misses))} ({_between(found_low, found_high)})"
        return ShareWords(words, ours=True)
    return ShareWords(
        f"{share_text(share)} ({_between(low, high)})" if low is not None else share_text(share)
    )


def _between(low: float, high: float) -> str:
    return f"{figures(100 * low, 1)}–{figures(100 * high, 1)}"
