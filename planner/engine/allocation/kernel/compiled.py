"""Compiling arithmetic on arrays with Numba, wherever the project is installed.

Compiled code is kept between runs, beside its source or, where that cannot be written, in
the user's cache folder; where neither can be written it is compiled anew in each process.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

from numba import njit

P = ParamSpec("P")
R = TypeVar("R")

# Without fast maths: a proven bound must not depend on how a compiler reorders sums. Errors
# as NumPy's, so that a division by 0 does not cost a test each time.
_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"}


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """``function`` as machine code that leaves other threads free; the same answers."""
    try:
        dispatcher = njit(cache=True, **_OPTIONS)(function)
    except RuntimeError:  # "no locator available": no folder that could be written to
        return cast(Callable[P, R], njit(**_OPTIONS)(function))
    return cast(Callable[P, R], dispatcher if _stamped(dispatcher) else njit(**_OPTIONS)(function))


def _stamped(dispatcher: Any) -> bool:
    """Tie what is kept to all sources of this folder; false where Numba does not allow it.

    By itself Numba notices a change in the file of a function, not in those it calls.
    """
    try:
        dispatcher._cache._cache_file._source_stamp = _stamp()
    except AttributeError:
        return False
    return True


def _stamp() -> tuple[tuple[str, float, int], ...]:
    sources = sorted(Path(__file__).parent.glob("*.py"))
    return tuple((each.name, each.stat().st_mtime, each.stat().st_size) for each in sources)
