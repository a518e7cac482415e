"""The chance that a sample accepts a lot: its operating characteristic."""

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from planner.engine.errors import InputError
from planner.engine.physics.quantities import Quantity, Values

LARGEST_LOT = 10_000_000

_SHARE = Quantity(
    "share of failures", "", 0, 1, "is this in per cent? Divide by 100", above_zero=False
)
_SAMPLE = Quantity("sample size", "items", 0, LARGEST_LOT)
_ALLOWED = Quantity("failures allowed", "items", 0, LARGEST_LOT, above_zero=False)
_LOT = Quantity("lot size", "items", 0, LARGEST_LOT)
_CORRELATION = Quantity("correlation inside a cluster", "", 0, 1, above_zero=False)


def acceptance(
    sample: ArrayLike,
    allowed: ArrayLike,
    failing: ArrayLike,
    *,
    lot: int | None = None,
    correlation: float = 0.0,
) -> Values:
    """Chance of at most ``allowed`` failures among ``sample`` items, by the share ``failing``.

    Without ``lot`` items are drawn from a register so large that each draw is alike
    (binomial). With ``lot`` they are drawn without putting back (hypergeometric); a share
    that is no whole number of items is rounded to the nearest one. With a ``correlation``
    above 0 items of one facility tend to fail together, and the count is beta-binomial with
    that correlation between any two items: a binomial rule would understate the risks.

    Raises ``InputError`` for impossible figures, and for a lot with a correlation, for which
    there is no agreed model.
    """
    size, most = _SAMPLE.values(sample), _ALLOWED.values(allowed)
    share = _SHARE.values(failing)
    rho = float(_CORRELATION.values(correlation))
    if lot is not None:
        if rho > 0:
            raise _refused("give either the size of the lot or a correlation, not both")
        if (size > float(_LOT.values(lot))).any():
            raise _refused(f"the sample is larger than the lot of {lot}")
        return np.asarray(stats.hypergeom.cdf(most, lot, np.rint(share * lot), size))
    if rho == 0:
        return np.asarray(stats.binom.cdf(most, size, share))
    return _clustered(size, most, share, rho)


def _clustered(size: Values, most: Values, share: Values, rho: float) -> Values:
    if rho == 1:
        # All items fail together or none does.
        return np.where(most >= size, 1.0, 1.0 - share)
    # Two items drawn from one beta distribution correlate by 1/(a + b + 1).
    spread = (1 - rho) / rho
    with np.errstate(divide="ignore", invalid="ignore"):
        chance = stats.betabinom.cdf(most, size, share * spread, (1 - share) * spread)
    ends = np.where(share == 0, 1.0, np.where(most >= size, 1.0, 0.0))
    return np.where((share == 0) | (share == 1), ends, chance)


def _refused(why: str) -> InputError:
    return InputError("sampling plan", [f"lot: {why}"])
