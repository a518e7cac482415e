"""Single results against the error that is allowed them.

Rules state it as an amount, as a share of the true value, or as both, of which the wider
holds; and often only for a range of true values. Each result's error is therefore put over
the error allowed *it*, which makes one scale of all: 1 is just allowed.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.engine.agreement.judging import Limit, Measured, figure
from planner.engine.agreement.paired import TOTAL_ERROR_SD, Interval
from planner.engine.agreement.readings import Place, Values, paired_values, row
from planner.engine.agreement.shares import share

TOTAL_ERROR, TOTAL_ERROR_PCT = "total_error", "total_error_pct"
ERRORS = frozenset({TOTAL_ERROR, TOTAL_ERROR_PCT})
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Band:
    """An error allowed from ``range_low`` up to but not with ``range_high`` of the reference.

    ``size`` is an amount, or with ``is_percent`` per cent of the reference.
    """

    size: float
    is_percent: bool
    range_low: float | None = None
    range_high: float | None = None

    def allowed(self, reference: Values) -> Values:
        """The error allowed at each reference value; 0 outside the range."""
        sizes = (
            self.size / 100 * reference if self.is_percent else np.full_like(reference, self.size)
        )
        low = -np.inf if self.range_low is None else self.range_low
        high = np.inf if self.range_high is None else self.range_high
        kept: Values = np.where((reference >= low) & (reference < high), sizes, 0.0)
        return kept


ISO_15197 = {
    "mg/dL": (Band(15.0, False, None, 100.0), Band(15.0, True, 100.0, None)),
    "mmol/L": (Band(0.83, False, None, 5.55), Band(15.0, True, 5.55, None)),
}
"""Blood-glucose meters, ISO 15197:2013, 6.3.3: at least 95 % of results within these.

The standard asks as well that 99 % lie in zones A and B of the consensus error grid, which
is not checked here.
"""


def spent(
    device: Sequence[float],
    reference: Sequence[float],
    bands: Iterable[Band],
    *,
    place: Place = row,
) -> Values:
    """Each result's error over the error allowed it: −1 to 1 is allowed, the ends included.

    Of several bands the widest holds. NaN where no band allows anything at that reference.
    Raises ``InputError`` as ``paired_values`` does.
    """
    measured, truth = paired_values(device, reference, place=place)
    allowed = np.max([band.allowed(truth) for band in bands], axis=0)
    ratio: Values = (measured - truth) / np.where(allowed > 0, allowed, np.nan)
    return ratio


def within(ratios: Values) -> NDArray[np.bool_]:
    """Which of the ``spent`` ratios are allowed; NaN is not.

    Decimal readings such as 4.83 − 4.00 must not miss 0.83 by a rounding of floats.
    """
    kept: NDArray[np.bool_] = np.abs(ratios) <= 1 + _ROUNDING
    return kept


def error_limits(
    device: Sequence[float],
    reference: Sequence[float],
    limits: Iterable[Limit],
    *,
    place: Place = row,
) -> Iterator[tuple[Limit, Measured | None]]:
    """Limits of error, those of one rule and analyte as one, each with what was measured.

    With ``share_within``: the share of results within, in per cent, with Wilson's interval.
    Without: (|mean| + 1.65 SD) of the error over the error allowed, in per cent; ``None``
    where fewer than two results are in the rule's range.
    """
    groups: dict[tuple[str, str], list[Limit]] = {}
    for limit in limits:
        if limit.measure in ERRORS:
            groups.setdefault((limit.rule, limit.analyte), []).append(limit)
    for group in groups.values():
        ratios = spent(device, reference, map(band_of, group), place=place)
        judged = ratios[~np.isnan(ratios)]
        wanted = group[0].share_within
        yield _combined(group), _share(judged) if wanted is not None else _total(judged)


def band_of(limit: Limit) -> Band:
    """The band that a limit of total error is; of an uneven one the narrower side."""
    size = min(abs(bound) for bound in (limit.low, limit.high) if bound is not None)
    return Band(size, limit.measure == TOTAL_ERROR_PCT, limit.range_low, limit.range_high)


def _share(judged: Values) -> Measured | None:
    if not judged.size:
        return None
    found = share(int(within(judged).sum()), judged.size)
    interval = Interval(100 * found.wilson.low, 100 * found.wilson.high)
    return Measured(100 * found.value, judged.size, interval)


def _total(judged: Values) -> Measured | None:
    if judged.size < 2:
        return None
    total = abs(judged.mean()) + TOTAL_ERROR_SD * judged.std(ddof=1)
    return Measured(float(100 * total), judged.size)


def _combined(group: Sequence[Limit]) -> Limit:
    """One limit in per cent that stands for alternatives; it asks for the most samples of any."""
    allowed = ", or ".join(_allowance(limit) for limit in group)
    samples = max(limit.minimum_samples for limit in group)
    wanted = group[0].share_within
    combined = replace(group[0], unit="%", minimum_samples=samples, range_low=None, range_high=None)
    if wanted is None:
        name = f"Total error as a share of what is allowed ({allowed})"
        return replace(combined, name=name, low=None, high=100.0)
    return replace(combined, name=f"Results within {allowed}", low=100 * wanted, high=None)


def _allowance(limit: Limit) -> str:
    band = band_of(limit)
    words = f"±{figure(band.size, '%' if band.is_percent else limit.unit)}"
    if band.range_low is not None:
        words += f" from {figure(band.range_low)}"
    if band.range_high is not None:
        words += f" below {figure(band.range_high)}"
    return words
