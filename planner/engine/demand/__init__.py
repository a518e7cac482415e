"""How many tests a year people need: three ways to find out, held against each other.

*Service statistics* start from the tests that were recorded, *consumption* from the units
that were used up, *morbidity* from the people and how often they fall ill. Arrays in, arrays
out, element by element. NaN stands for what is not known: it passes through, and an estimate
that nothing supports is NaN, never 0.
"""

from planner.engine.demand.choosing import (
    BASES,
    COMPLETE_ENOUGH_SHARE,
    CONSUMPTION,
    LONG_ENOUGH_MONTHS,
    MORBIDITY,
    MOST_APART,
    MOST_DAYS_WITHOUT,
    MOST_STOCK_OUT_SHARE,
    NO_BASIS,
    SERVICE_STATISTICS,
    Choice,
    choose,
    consumption_holds,
    disagrees,
    ratio,
    service_statistics_hold,
    spread,
)
from planner.engine.demand.consumption import (
    from_consumption,
    monthly_consumption,
    order_quantity,
    units_for_tests,
)
from planner.engine.demand.estimates import (
    PREGNANCY_LOSS_FACTOR,
    expected_pregnancies,
    from_morbidity,
    from_service_statistics,
)

__all__ = [
    "BASES",
    "COMPLETE_ENOUGH_SHARE",
    "CONSUMPTION",
    "LONG_ENOUGH_MONTHS",
    "MORBIDITY",
    "MOST_APART",
    "MOST_DAYS_WITHOUT",
    "MOST_STOCK_OUT_SHARE",
    "NO_BASIS",
    "PREGNANCY_LOSS_FACTOR",
    "SERVICE_STATISTICS",
    "Choice",
    "choose",
    "consumption_holds",
    "disagrees",
    "expected_pregnancies",
    "from_consumption",
    "from_morbidity",
    "from_service_statistics",
    "monthly_consumption",
    "order_quantity",
    "ratio",
    "service_statistics_hold",
    "spread",
    "units_for_tests",
]
