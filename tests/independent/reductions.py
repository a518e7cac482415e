"""Classic problems of operations research, put as planning cases.

A knapsack is a district where each item is a device; covering is referral without limits of
hours. The optimum of the case is the optimum of the problem.
"""

from collections.abc import Mapping, Sequence, Set

from planner.engine.case import Case
from tests.factories import cases


def knapsack(costs: Sequence[int], profits: Sequence[int], capacity: int) -> Case:
    """0-1 knapsack: site j asks for ``profits[j]`` tests that only device j can do."""
    codes = [f"item-{number}" for number in range(len(costs))]
    return cases.case(
        device_models=[
            cases.device_model(code, cases.serves(code), price=cost)
            for code, cost in zip(codes, costs, strict=True)
        ],
        tests=[cases.lab_test(code) for code in codes],
        methods=[cases.method(code, code, cases.need(code)) for code in codes],
        sites=[
            cases.site(code, demand={code: profit})
            for code, profit in zip(codes, profits, strict=True)
        ],
        limits=cases.limits(capital=capacity),
    )


def multiple_choice_knapsack(groups: Sequence[Sequence[tuple[int, int]]], capacity: int) -> Case:
    """At most one (cost, profit) of each group: devices for the same test, better or worse.

    Profit is the sensitivity, in thousandths, of 1000 tests, so profits are at most 1000.
    """
    choices = [
        (f"group-{number}", f"choice-{number}-{place}", cost, profit)
        for number, group in enumerate(groups)
        for place, (cost, profit) in enumerate(group)
    ]
    sites = [f"group-{number}" for number in range(len(groups))]
    return cases.case(
        device_models=[
            cases.device_model(choice, cases.serves(choice), price=cost)
            for _, choice, cost, _ in choices
        ],
        tests=[cases.lab_test(code) for code in sites],
        methods=[
            cases.method(choice, group, cases.need(choice), sensitivity=profit / 1000)
            for group, choice, _, profit in choices
        ],
        sites=[cases.site(code, demand={code: 1000}) for code in sites],
        limits=cases.limits(capital=capacity),
    )


def covering(
    people: Mapping[str, float],
    within_reach: Mapping[str, Set[str]],
    facilities: int,
    *,
    floor: float = 0.0,
) -> Case:
    """Open at most ``facilities`` of the keys of ``within_reach``; each covers its set.

    A facility is a site with power, where one device of price 1 may be put; the places
    where people live cannot be given power, and send their specimens.
    """
    return cases.case(
        areas=[cases.area(floor=floor)],
        infrastructure=[cases.infrastructure("power")],
        device_models=[cases.device_model("lab", cases.serves("lab"), price=1)],
        tests=[cases.lab_test("test", max_transport_hours=1)],
        methods=[cases.method("done", "test", cases.need("lab"), infrastructure=["power"])],
        sites=[
            *(cases.site(code, demand={"test": count}) for code, count in people.items()),
            *(cases.site(code, infrastructure=["power"]) for code in within_reach),
        ],
        links=[
            cases.link(place, facility, hours=1)
            for facility, places in within_reach.items()
            for place in sorted(places)
        ],
        limits=cases.limits(capital=facilities),
    )
