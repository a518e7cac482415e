"""The formula of each estimate with its figures put in, and why one is not to be relied on."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext, ngettext

from apps.demand.selectors import Estimate, Figure
from apps.web.figures import figures, percent_text
from planner.engine.demand import (
    COMPLETE_ENOUGH_SHARE,
    LONG_ENOUGH_MONTHS,
    MOST_DAYS_WITHOUT,
    MOST_STOCK_OUT_SHARE,
)


def formula_of(estimate: Estimate, figure: Figure) -> str:
    """How ``figure`` of ``estimate`` comes about, as a formula with its figures."""
    return _FORMULAS[figure.basis](estimate, figure.row)


def doubt_of(figure: Figure) -> str:
    """Why ``figure`` is not good enough to be preferred; empty where it is."""
    return "" if figure.holds else _DOUBTS[figure.basis](figure.row)


def _by_statistics(estimate: Estimate, row: Any) -> str:
    said = gettext("%(recorded)s recorded in %(year)s × %(growth)s growth ÷ %(share)s reported") % {
        "recorded": figures(row.recorded_tests),
        "year": row.year,
        "growth": _growth(estimate, row.year),
        "share": f"{row.completeness_share:.3g}",
    }
    if row.days_without:
        said += gettext(" ÷ (1 − %(days)s/365 days without)") % {"days": row.days_without}
    return said


def _by_consumption(estimate: Estimate, row: Any) -> str:
    assumed = estimate.assumptions
    extra = assumed.quality_control_share + assumed.repeat_share + assumed.wastage_share
    months = f"{row.period_months:g}"
    if row.days_out_of_stock:
        months = f"({months} − {row.days_out_of_stock}/30.4)"
    return gettext(
        "%(used)s %(units)s used to the end of %(year)s ÷ %(months)s months in stock × 12"
        " × %(each)s tests each ÷ %(extra)s for controls, repeats and waste × %(growth)s growth"
    ) % {
        "used": figures(row.units_used),
        "units": row.consumable,
        "year": row.year,
        "months": months,
        "each": f"{row.tests_per_unit:g}",
        "extra": f"{1 + extra:.3g}",
        "growth": _growth(estimate, row.year),
    }


def _by_morbidity(estimate: Estimate, row: Any) -> str:
    people = gettext("unknown") if estimate.people is None else figures(estimate.people)
    return gettext(
        "%(people)s people × %(episodes)s episodes a year × %(seeking)s seek care × %(eligible)s"
        " eligible × %(each)s tests each"
    ) % {
        "people": people,
        "episodes": f"{row.episodes_per_person_year:.3g}",
        "seeking": f"{row.care_seeking_share:g}",
        "eligible": f"{row.eligible_share:g}",
        "each": f"{row.tests_per_episode:g}",
    }


def _growth(estimate: Estimate, year: int) -> str:
    assumed = estimate.assumptions
    return f"{(1 + assumed.growth_per_year) ** (assumed.year - year):.4g}"


def _doubt_statistics(row: Any) -> str:
    if row.completeness_share < COMPLETE_ENOUGH_SHARE:
        return gettext("only %(share)s of the reports came in") % {
            "share": percent_text(row.completeness_share)
        }
    return gettext("away for %(days)s days, more than %(most)s") % {
        "days": row.days_without,
        "most": figures(MOST_DAYS_WITHOUT),
    }


def _doubt_consumption(row: Any) -> str:
    if row.period_months < LONG_ENOUGH_MONTHS:
        return ngettext(
            "only %(months)s month", "only %(months)s months", round(row.period_months)
        ) % {"months": f"{row.period_months:g}"}
    return gettext("out of stock for more than %(share)s of the time") % {
        "share": percent_text(MOST_STOCK_OUT_SHARE)
    }


_FORMULAS: Mapping[str, Any] = {
    "service_statistics": _by_statistics,
    "consumption": _by_consumption,
    "morbidity": _by_morbidity,
}
_DOUBTS: Mapping[str, Any] = {
    "service_statistics": _doubt_statistics,
    "consumption": _doubt_consumption,
}
