"""The sample itself: drawn so that anybody can draw it again, by hand if need be."""

import hashlib
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.engine.errors import InputError


@dataclass(frozen=True)
class Frame:
    """All items that could be checked: code to stratum, frozen before the draw."""

    strata: Mapping[str, str]

    @cached_property
    def sha256(self) -> str:
        """Digest of the sorted lines ``code<tab>stratum<newline>`` in UTF-8."""
        lines = (f"{code}\t{stratum}\n" for code, stratum in sorted(self.strata.items()))
        return hashlib.sha256("".join(lines).encode()).hexdigest()

    @property
    def sizes(self) -> dict[str, int]:
        """Stratum to number of items, strata in order."""
        return dict(sorted(Counter(self.strata.values()).items()))


@dataclass(frozen=True)
class Drawn:
    """One item of the sample; ``spare`` items replace, in their order, those out of reach."""

    code: str
    stratum: str
    order: int
    spare: bool


def allocate(sizes: Mapping[str, int], sample: int, *, at_least: int = 1) -> dict[str, int]:
    """Share ``sample`` items among strata in proportion to their sizes.

    Each gets at least ``at_least``, or all that it has; the rest goes by largest remainders,
    ties to the first by name. Raises ``InputError`` where there are not so many items.
    """
    total = sum(sizes.values())
    if not 0 < sample <= total:
        raise _refused(f"sample: expected 1 to {total} items, found {sample}")
    least = {name: min(at_least, size) for name, size in sorted(sizes.items())}
    if sum(least.values()) > sample:
        raise _refused(
            f"sample: {sample} items cannot give each of {len(sizes)} strata at least {at_least}"
        )
    fair = {name: sample * size / total for name, size in sizes.items()}
    given = {name: max(least[name], math.floor(fair[name])) for name in least}
    while sum(given.values()) > sample:
        shrinking = [name for name in given if given[name] > least[name]]
        given[max(shrinking, key=lambda name: given[name] - fair[name])] -= 1
    while sum(given.values()) < sample:
        growing = [name for name in given if given[name] < sizes[name]]
        given[max(growing, key=lambda name: fair[name] - given[name])] += 1
    return given


def draw(
    frame: Frame, sizes: Mapping[str, int], *, seed: str, spares: int = 2
) -> tuple[Drawn, ...]:
    """``sizes`` items of each stratum and up to ``spares`` more of each, in order of drawing.

    Items stand in the order of the SHA-256 digest of ``seed``, the digest of the frame and
    their code, joined by newlines; the first of each stratum are taken. So the draw depends
    on nothing but the frame and the seed: no generator of random numbers has to be the same.

    Raises ``InputError`` for a stratum that the frame does not have, or too few items in it.
    """
    by_stratum: dict[str, list[str]] = {}
    for code, stratum in frame.strata.items():
        by_stratum.setdefault(stratum, []).append(code)
    _check(sizes, frame.sizes)
    drawn: list[Drawn] = []
    for stratum, size in sorted(sizes.items()):
        ranked = _ranked(by_stratum.get(stratum, ()), seed, frame.sha256)
        drawn += [
            Drawn(code, stratum, order, spare=order > size)
            for order, code in enumerate(ranked[: size + spares], start=1)
        ]
    return tuple(drawn)


def _ranked(codes: Iterable[str], seed: str, frame_sha256: str) -> list[str]:
    def rank(code: str) -> tuple[str, str]:
        text = f"{seed}\n{frame_sha256}\n{code}"
        return hashlib.sha256(text.encode()).hexdigest(), code

    return sorted(codes, key=rank)


def _check(sizes: Mapping[str, int], available: Mapping[str, int]) -> None:
    problems = [
        f"{stratum}: the frame has {available.get(stratum, 0)} items, found a sample of {size}"
        for stratum, size in sorted(sizes.items())
        if not 0 <= size <= available.get(stratum, 0)
    ]
    if problems:
        raise InputError("sample", problems)


def _refused(problem: str) -> InputError:
    return InputError("sampling plan", [problem])
