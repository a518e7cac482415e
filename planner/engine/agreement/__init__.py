"""Does a device agree with a reference, spin as fast as it should, and tell yes from no?

What a person measures on one device goes in; bias, limits of agreement, shares with their
intervals, and a judgement against stated limits come out. Nothing here knows which limits
are right: they come from the catalogue, each with its source.
"""

from planner.engine.agreement.allowed import (
    ERRORS,
    ISO_15197,
    Band,
    error_limits,
    spent,
    within,
)
from planner.engine.agreement.judging import (
    Check,
    Judgement,
    Limit,
    Measured,
    Outcome,
    figure,
    judge,
)
from planner.engine.agreement.paired import (
    Agreement,
    Interval,
    Trend,
    bland_altman,
    sigma,
    total_error,
)
from planner.engine.agreement.readings import Place, paired_values
from planner.engine.agreement.shares import Qualitative, Share, qualitative, share
from planner.engine.agreement.spinning import SpeedLog, speed_log
from planner.engine.agreement.stated import Deviation, Repeatability, deviations, repeatability

__all__ = [
    "ERRORS",
    "ISO_15197",
    "Agreement",
    "Band",
    "Check",
    "Deviation",
    "Interval",
    "Judgement",
    "Limit",
    "Measured",
    "Outcome",
    "Place",
    "Qualitative",
    "Repeatability",
    "Share",
    "SpeedLog",
    "Trend",
    "bland_altman",
    "deviations",
    "error_limits",
    "figure",
    "judge",
    "paired_values",
    "qualitative",
    "repeatability",
    "share",
    "sigma",
    "speed_log",
    "spent",
    "total_error",
    "within",
]
