"""The ways of specimens, as the links of a planning case."""

from apps.coverage.adapters.register import LeftOut
from apps.coverage.selectors.ways import Way, ways_within
from apps.facilities.models import Area
from planner.engine import case


def links_between(
    district: Area, site_codes: frozenset[str]
) -> tuple[tuple[case.Link, ...], tuple[LeftOut, ...]]:
    """The routes between sites of the case, and those of its sites that cannot be in it.

    Hours are the worst case: worked out from the days of collection and the travel time
    where both are known, else as stated for the whole. No link is made up: where there is
    no route, no specimen goes.
    """
    kept, left_out = [], []
    for way in ways_within(district):
        if way.origin not in site_codes:
            continue  # the site itself is listed as left out, or closed
        if way.destination not in site_codes:
            left_out.append(LeftOut(way.origin, _not_in_the_case(way)))
        elif way.hours is None:
            left_out.append(LeftOut(way.origin, _no_hours(way)))
        else:
            kept.append(
                case.Link.model_validate(
                    {
                        "from": way.origin,
                        "to": way.destination,
                        "hours": way.hours,
                        "cost": way.cost_per_specimen,
                    }
                )
            )
    return tuple(kept), tuple(left_out)


def _not_in_the_case(way: Way) -> str:
    return (
        f"Its route to {way.destination} is left out: that facility is closed, lies in another"
        " district, or is left out itself"
    )


def _no_hours(way: Way) -> str:
    lacking = "the travel time" if way.wait_hours is not None else "the days of collection"
    return (
        f"Its route to {way.destination} is left out: enter {lacking}, or the worst case of hours"
    )
