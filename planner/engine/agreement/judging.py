"""What was measured, held against stated limits: pass, fail, or not enough to say."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from planner.engine.agreement.paired import Interval
from planner.engine.errors import InputError

Outcome = Literal["pass", "fail", "not_enough"]

THIN = "\N{NARROW NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Measured:
    """A figure, the number of readings behind it and, where it has one, its interval.

    ``to`` is the other end of a figure that is a pair, such as limits of agreement; both
    ends must keep the limit.
    """

    value: float
    n: int
    interval: Interval | None = None
    to: float | None = None

    @property
    def ends(self) -> tuple[float, ...]:
        return (self.value,) if self.to is None else (self.value, self.to)


@dataclass(frozen=True)
class Limit:
    """What a figure must lie within, ends included; ``None``: no bound on that side.

    ``rule`` and ``analyte`` group limits that are one another's alternatives, each from
    ``range_low`` up to but not with ``range_high`` of the reference; ``share_within``: how
    many of the single results must keep them, as a share.

    Raises ``InputError`` for a limit that bounds nothing, or that nothing can keep.
    """

    measure: str
    name: str
    low: float | None
    high: float | None
    unit: str = ""
    minimum_samples: int = 1
    rule: str = ""
    analyte: str = ""
    share_within: float | None = None
    range_low: float | None = None
    range_high: float | None = None

    def __post_init__(self) -> None:
        if self.low is None and self.high is None:
            raise self._unusable("expected a low or a high bound, found neither")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise self._unusable(f"expected low ≤ high, found {self.low:g} and {self.high:g}")
        if self.minimum_samples < 1:
            raise self._unusable(f"expected at least 1 sample, found {self.minimum_samples}")

    def _unusable(self, expected: str) -> InputError:
        return InputError("limit", [f"{self.measure}: {expected}"])

    def holds(self, value: float) -> bool:
        """Whether ``value`` keeps the limit; one on the bound does."""
        slack = _ROUNDING * max(1.0, abs(value))
        above = self.low is None or value >= self.low - slack
        return above and (self.high is None or value <= self.high + slack)

    def excludes(self, interval: Interval) -> bool:
        """Whether no value of ``interval`` keeps the limit."""
        too_low = self.low is not None and interval.high < self.low
        return too_low or (self.high is not None and interval.low > self.high)

    @property
    def words(self) -> str:
        """``from −1 to 1 g/dL``, ``at least 95 %``."""
        if self.low is None:
            return f"at most {figure(self.high, self.unit)}"
        if self.high is None:
            return f"at least {figure(self.low, self.unit)}"
        return f"from {figure(self.low)} to {figure(self.high, self.unit)}"


@dataclass(frozen=True)
class Check:
    """One limit and what was found; ``settle`` says what to do where the answer is not sure."""

    limit: Limit
    measured: Measured | None
    outcome: Outcome
    reason: str
    settle: str = ""


@dataclass(frozen=True)
class Judgement:
    """``fail`` if one limit is broken, else ``not_enough`` if one is open, else ``pass``."""

    outcome: Outcome
    checks: tuple[Check, ...]


def judge(measured: Mapping[str, Measured], limits: Iterable[Limit]) -> Judgement:
    """Hold ``measured`` (by name of the measure) against each of ``limits``.

    A figure with fewer readings than its limit asks for settles nothing, unless its whole
    interval lies beyond the limit already. One whose interval reaches beyond the limit that
    the figure itself keeps passes, and says so.

    Raises ``InputError`` where there is no limit to judge by.
    """
    checks = tuple(_check(limit, measured.get(limit.measure)) for limit in limits)
    if not checks:
        raise InputError("verification", ["limits: expected at least one, found none"])
    outcomes = {check.outcome for check in checks}
    if "fail" in outcomes:
        return Judgement("fail", checks)
    return Judgement("not_enough" if "not_enough" in outcomes else "pass", checks)


def _check(limit: Limit, found: Measured | None) -> Check:
    if found is None:
        said, settle = f"{limit.name} was not measured.", f"Measure it: it must be {limit.words}."
        return Check(limit, None, "not_enough", said, settle)
    said = f"{limit.name}: {_in_words(found, limit.unit)}"
    beyond = found.interval is not None and limit.excludes(found.interval)
    if found.n < limit.minimum_samples and not beyond:
        few = f"{said} from {counted(found.n)}; the limit asks for {limit.minimum_samples}."
        settle = f"Take {counted(limit.minimum_samples - found.n)} more."
        return Check(limit, found, "not_enough", few, settle)
    if not all(limit.holds(end) for end in found.ends):
        broken = f"{said}; it must be {limit.words}."
        settle = "Do not use it for this until it is put right and verified again."
        return Check(limit, found, "fail", broken, settle)
    return Check(limit, found, "pass", f"{said}; it may be {limit.words}.", _doubt(limit, found))


def _doubt(limit: Limit, found: Measured) -> str:
    span = found.interval
    if span is None or (limit.holds(span.low) and limit.holds(span.high)):
        return ""
    return (
        f"The true figure may lie from {figure(span.low)} to {figure(span.high, limit.unit)}, "
        "beyond the limit: more readings would make it surer."
    )


def _in_words(found: Measured, unit: str) -> str:
    if found.to is None:
        return figure(found.value, unit)
    return f"{figure(found.value)} to {figure(found.to, unit)}"


def counted(n: int) -> str:
    """``1 reading``, ``40 readings``."""
    return "1 reading" if n == 1 else f"{n} readings"


def figure(value: float | None, unit: str = "") -> str:
    """``−2.118`` or ``11 850`` with its unit: four digits, or all before the point."""
    if value is None:
        return ""
    text = f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"
    text = text.replace(",", THIN).replace("-", MINUS)
    return f"{text}{THIN}{unit}" if unit else text
