"""How amounts and shares are written everywhere on the pages.

Rounded here, halves up as people do by hand: Django's ``number_format`` cuts decimals off.
"""

from decimal import ROUND_HALF_UP, Decimal
from math import floor
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext

from planner.engine.allocation import gap_at_most

# Below this an amount is a unit cost, where the decimals matter.
SMALL = 100
FINEST_GAP, FINE_GAP = 0.0001, 0.01
# A share below this would be written as none at all.
LEAST_SHARE = 0.0005
MINUS = "\N{MINUS SIGN}"


def figures(number: Decimal | float, places: int = 0) -> str:
    """``number`` rounded to ``places`` decimals, grouped for the reader's language."""
    rounded = Decimal(str(number)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return number_format(rounded, decimal_pos=places, force_grouping=True)


def percent_text(share: float, places: int = 0) -> str:
    """``0.634`` as ``63 %``, held together by a no-break space."""
    return f"{figures(Decimal(str(share)) * 100, places)}\N{NO-BREAK SPACE}%"


def share_text(share: float) -> str:
    """``0.95`` as ``95 %``, ``0.952`` as ``95.2 %``: a decimal only where there is one."""
    if 0 < share < LEAST_SHARE:
        return gettext("under %(least)s") % {"least": percent_text(2 * LEAST_SHARE, 1)}
    tenths = floor(share * 1000 + 0.5)
    return percent_text(share, 1 if tenths % 10 else 0)


def gap_text(gap: float) -> str:
    """How far a plan may be off, in per cent, rounded up: more places the smaller it is."""
    if gap < FINEST_GAP:
        return gettext("less than %(least)s") % {"least": percent_text(FINEST_GAP, 2)}
    places = 2 if gap < FINE_GAP else 1
    return percent_text(gap_at_most(gap, places + 2), places)


def points_text(change: float) -> str:
    """The change of a share in percentage points with its sign: ``+24.9``, ``−2.0``, ``0.0``."""
    points = figures(abs(change) * 100, 1)
    if points == figures(0, 1):
        return points
    return f"{'+' if change > 0 else MINUS}{points}"


def money_text(amount: Decimal | float, currency: str) -> str:
    """``USD 25,000``; decimals only on small broken amounts. The currency may be blank."""
    value = Decimal(str(amount))
    places = 2 if abs(value) < SMALL and value != value.to_integral_value() else 0
    amount_text = figures(value, places)
    return f"{currency}\N{NO-BREAK SPACE}{amount_text}" if currency else amount_text


def position(place: Any) -> str:
    """Latitude and longitude of ``place`` in degrees with four decimals, about eleven metres."""
    north_south = "N" if place.latitude >= 0 else "S"
    east_west = "E" if place.longitude >= 0 else "W"
    return f"{abs(place.latitude):.4f}° {north_south}, {abs(place.longitude):.4f}° {east_west}"
