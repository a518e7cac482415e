"""What a run of a plan says, in sentences."""

from collections.abc import Mapping
from typing import Protocol

from django.utils.translation import gettext

from apps.plans.choices import RunState
from apps.web.figures import figures, gap_text, percent_text
from apps.web.site_rows import EXPECTED

# A gap below this is shown as none: it is finer than any figure on the page.
NO_GAP = 0.00005


class Run(Protocol):
    """What is asked of a run; ``plans.selectors`` gives such."""

    state: str
    status: str
    gap: float | None
    summary: dict


def nearness(status: str, gap: float | None) -> str:
    """How far the plan can be from the best possible, and whether that is proven."""
    if status == "infeasible" or gap is None:
        return gettext("No plan meets all of these limits.")
    if gap < NO_GAP:
        return gettext("Proven: within these limits no plan is better.")
    if status == "optimal":
        return gettext("Within %(gap)s of the best possible, proven.") % {"gap": gap_text(gap)}
    return gettext(
        "The best found in the time allowed; no plan can be better by more than %(gap)s."
    ) % {"gap": gap_text(gap)}


def answer(run: Run | None) -> str:
    """One line for the list of plans: what the latest run came to."""
    if run is None:
        return gettext("Not computed yet.")
    if run.state == RunState.DONE:
        return _done(run)
    if run.state == RunState.CANCELLED and run.status:
        return gettext("Cancelled; the best plan found until then is kept.")
    return {
        RunState.QUEUED: gettext("Waiting to be computed."),
        RunState.RUNNING: gettext("Being computed now."),
        RunState.FAILED: gettext("The computation failed; the plan says why."),
        RunState.CANCELLED: gettext("The computation was cancelled."),
        RunState.INTERRUPTED: gettext("The computation was interrupted; start it again."),
    }[RunState(run.state)]


def rise(run: Run) -> str:
    """From what share of the tests people need to what share the plan goes."""
    coverage = run.summary["coverage"]
    return gettext(
        "It raises the tests done from %(before)s to %(after)s of what people need in a year."
    ) % {
        "before": percent_text(coverage["before"]["tests_met_share"], 1),
        "after": percent_text(coverage["after"]["tests_met_share"], 1),
    }


def _done(run: Run) -> str:
    if run.status == "infeasible":
        return nearness(run.status, run.gap)
    return f"{rise(run)} {nearness(run.status, run.gap)}"


def coverage_answer(counts: Mapping[str, int]) -> str:
    """What the sites of a grid can do, of all that is expected of them."""
    expected = sum(counts.get(state, 0) for state in EXPECTED)
    if not expected:
        return gettext("No test is expected of any of these sites.")
    shares = {state: percent_text(counts.get(state, 0) / expected) for state in EXPECTED}
    return gettext(
        "Of the tests that these sites should offer, %(runs)s can be run on site and"
        " %(referred)s by referral; %(blocked)s cannot, and of %(unknown)s nobody knows."
    ) % {str(state): share for state, share in shares.items()}


def volumes(run: Run) -> str:
    """The same change in numbers of tests."""
    coverage = run.summary["coverage"]
    return gettext(
        "Of %(demand)s tests that people need in a year, %(before)s can be done today and"
        " %(after)s with the plan."
    ) % {
        "demand": figures(coverage["before"]["demand"]),
        "before": figures(coverage["before"]["met"]),
        "after": figures(coverage["after"]["met"]),
    }
