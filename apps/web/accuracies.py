"""How well a site tests, arranged for its page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import fsum
from typing import Any

from django.utils.translation import gettext

from apps.web.amounts import Share, count_text, predicted_of, range_text, share_of, share_text
from apps.web.figures import money_text

# Nothing below a case in ten years is worth another method.
WORTH_SAYING = 0.1
ONE_A_YEAR = 1


@dataclass(frozen=True)
class AccuracyLine:
    """One test that runs at the site, all in words; empty words where nothing is known."""

    test: Any
    method: Any
    finds: Share
    clears: Share
    prevalence: Share
    where: str
    positive: Share
    negative: Share
    tests_per_year: float | None
    missed: str
    false_alarms: str
    better: tuple[str, ...]


@dataclass(frozen=True)
class AccuracySheet:
    """Tests whose prevalence is known, most missed cases first; those that ``rarely`` miss one
    in a year apart; and those whose prevalence is not known."""

    lines: tuple[AccuracyLine, ...]
    rarely: tuple[AccuracyLine, ...]
    without_prevalence: tuple[AccuracyLine, ...]
    missed: str

    @property
    def known(self) -> int:
        return len(self.lines) + len(self.rarely)

    @property
    def total(self) -> int:
        return self.known + len(self.without_prevalence)


def accuracy_sheet(found: Sequence[Any], currency: str) -> AccuracySheet:
    """``found``: what ``coverage.selectors.accuracy.accuracy_at`` gives."""
    known = sorted(
        (each for each in found if each.prevalence),
        key=lambda each: (-(each.missed or 0), each.test.name),
    )
    often = [each for each in known if (each.missed or 0) >= ONE_A_YEAR]
    return AccuracySheet(
        tuple(_line(each, currency) for each in often),
        tuple(_line(each, currency) for each in known[len(often) :]),
        tuple(_line(each, currency) for each in found if not each.prevalence),
        count_text(fsum(each.missed or 0 for each in known)),
    )


def _line(found: Any, currency: str) -> AccuracyLine:
    method = found.method
    return AccuracyLine(
        test=found.test,
        method=method,
        finds=share_of(
            found.sensitivity, method.sensitivity_source, method.get_sensitivity_kind_display()
        ),
        clears=share_of(
            found.specificity, method.specificity_source, method.get_specificity_kind_display()
        ),
        prevalence=_prevalence(found.prevalence),
        where=_where(found.prevalence),
        positive=predicted_of(found.positive_is_right),
        negative=predicted_of(found.negative_is_right),
        tests_per_year=found.tests_per_year,
        missed="" if found.missed is None else count_text(found.missed),
        false_alarms="" if found.false_alarms is None else count_text(found.false_alarms),
        better=tuple(_better(found.better, currency)),
    )


def _prevalence(known: Any | None) -> Share:
    if known is None:
        return Share("", "")
    row = known.row
    interval = range_text(row.low, row.high)
    return Share(share_text(row.share), interval, row.source, row.get_source_kind_display())


def _where(known: Any | None) -> str:
    """For which place the prevalence was said."""
    if known is None:
        return ""
    if known.row.facility_id:
        return gettext("said of this site")
    if known.row.area:
        return gettext("said of %(area)s") % {"area": known.row.area.name}
    return gettext("said of everywhere")


def _better(rivals: Iterable[Any], currency: str) -> Iterable[str]:
    for rival in rivals:
        if rival.fewer_missed is None or rival.fewer_missed < WORTH_SAYING:
            continue
        values = {
            "method": rival.method.name,
            "fewer": count_text(rival.fewer_missed),
            "cost": _cost(rival.cost_per_extra_case, currency),
        }
        if rival.site:
            text = gettext("By referral to %(site)s (%(method)s): %(fewer)s fewer missed%(cost)s")
            yield text % {**values, "site": rival.site.name}
        else:
            yield gettext("%(method)s: %(fewer)s fewer missed%(cost)s") % values


def _cost(per_case: float | None, currency: str) -> str:
    """What one case more costs in consumables, as the end of a sentence."""
    if per_case is None:
        return ""
    if per_case <= 0:
        return gettext(", for no more in consumables")
    amount = money_text(round(per_case, 2), currency)
    return gettext(", %(amount)s in consumables for each") % {"amount": amount}
