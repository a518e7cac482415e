"""Compiled code: kept until a source of its folder changes, made anew where none can be kept."""

from pathlib import Path

from planner.engine.allocation import kernel
from planner.engine.allocation.kernel import compiled as compiling
from planner.engine.allocation.kernel.entry import price_sites

SOURCES = sorted(path.name for path in Path(kernel.__file__).parent.glob("*.py"))


def double(number: int) -> int:
    return 2 * number


def test_what_is_kept_is_tied_to_every_source_of_the_folder():
    """By itself Numba would go on with the old code of a function in another file."""
    stamp = price_sites._cache._cache_file._source_stamp

    assert [name for name, *_ in stamp] == SOURCES


def test_where_no_folder_can_be_written_to_it_is_compiled_without_being_kept(monkeypatch):
    asked = []

    def njit(**options):
        asked.append(options.get("cache", False))
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return lambda function: function

    monkeypatch.setattr(compiling, "njit", njit)

    assert compiling.compiled(double)(21) == 42
    assert asked == [True, False]


def test_where_numba_hides_its_stamp_nothing_is_kept(monkeypatch):
    """Better slow than wrong after an update."""
    asked = []

    def njit(**options):
        asked.append(options.get("cache", False))
        return lambda function: function

    monkeypatch.setattr(compiling, "njit", njit)

    assert compiling.compiled(double)(21) == 42
    assert asked == [True, False]
