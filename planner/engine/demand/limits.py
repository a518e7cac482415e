"""What the three ways of estimating share: which values can exist."""

from planner.engine.physics.quantities import SHARE, Quantity

__all__ = ["DAYS_OUT", "DAYS_PER_MONTH", "DAYS_WITHOUT", "PERIOD_MONTHS", "SHARE", "TESTS"]

DAYS_PER_MONTH = 30.4
"""As the consumption formula of the WHO drug management guides has it."""

TESTS = Quantity("tests", "a year", 0, 1e9, above_zero=False)
DAYS_WITHOUT = Quantity(
    "days without the test", "of a year", 0, 366, "is this in hours?", above_zero=False
)
PERIOD_MONTHS = Quantity("period", "months", 0, 600, "is this in days? Divide by 30.4")
DAYS_OUT = Quantity("days out of stock", "days", 0, 600 * 31, above_zero=False)
