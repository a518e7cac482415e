"""Small crooked planning cases for property tests.

Every fact that coverage rests on is in play: models of two roles, specifications that are
missing or of another kind, weak evidence, broken units, methods that share needs, that have
none or no method at all, skills, infrastructure that a level cannot be given, links that are
too long, sites without stock, ties in cost and preference. Money is whole, so that sums are
exact whatever their order.
"""

from collections.abc import Sequence

from hypothesis import strategies as st

from planner.engine.asking import Bundle
from planner.engine.case import Case, DeviceModel, Link, Method, Site, Stock
from tests.factories.cases import (
    bundle,
    case,
    device_model,
    infrastructure,
    lab_test,
    link,
    method,
    need,
    serves,
    site,
    skill,
    stock,
)

SITES, TESTS = ("hill", "lake", "mill"), ("anaemia", "malaria")
MODELS, METHODS = ("crank", "disc", "folded", "mains"), ("a", "b", "c", "d")
SKILLS, ITEMS = ("optics", "spinning"), ("power", "water")

_classes = st.sampled_from(["bath", "spinner"])
_money = st.integers(0, 4).map(lambda units: 50 * units)
_costs = st.tuples(_money, _money, st.sampled_from(["12", "12", "1"])).map(
    lambda drawn: {level: drawn[int(level) - 1] for level in drawn[2]}
)
_specs = st.sampled_from(
    [{"reach": 2}, {}, {"reach": 2}, {"reach": "far"}, {"reach": 1}, {"reach": 3}, {}]
)
_requirements = st.sampled_from([{"min": 2}, {"max": 2}, {"between": [2, 3]}, {"is": 1}, None]).map(
    lambda condition: {"reach": condition} if condition else {}
)
_demand = st.sampled_from([9, 9, 9, 9, 0, None])
_units = st.sampled_from([(0, 0), (1, 0), (0, 1), (1, 1)])


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A case of up to three sites, two tests, up to four methods and four models."""
    sites, models, methods = (draw(_first_of(codes)) for codes in (SITES, MODELS, METHODS))
    pairs = [(origin, to) for origin in sites for to in sites if origin != to]
    return case(
        minimum_evidence="B",
        skills=[skill(code, training_cost=draw(_money)) for code in SKILLS],
        infrastructure=[infrastructure(code, cost=draw(_costs)) for code in ITEMS],
        device_models=[draw(_models(code)) for code in models],
        tests=[
            lab_test(code, max_transport_hours=draw(st.sampled_from([5, 2, None])))
            for code in TESTS
        ],
        methods=[draw(_methods(code)) for code in draw(st.permutations(methods))],
        sites=[draw(_sites(code)) for code in sites],
        stock=[draw(_stock(at, model)) for at in sites for model in models],
        links=[draw(_links(*pair)) for pair in pairs if draw(st.booleans())],
        bundles=[draw(_bundles(code)) for code in models if draw(st.sampled_from([0, 0, 1]))],
    )


def _first_of(codes: Sequence[str]) -> st.SearchStrategy[Sequence[str]]:
    """All codes, or fewer, but one at least."""
    return st.sampled_from([len(codes), len(codes), *range(1, len(codes))]).map(
        lambda number: codes[:number]
    )


def _some(codes: Sequence[str]) -> st.SearchStrategy[list[str]]:
    chosen = st.tuples(*(st.booleans() for _ in codes))
    return chosen.map(lambda flags: [code for code, flag in zip(codes, flags, strict=True) if flag])


@st.composite
def _models(draw: st.DrawFn, code: str) -> DeviceModel:
    roles = [(draw(_classes), draw(_specs)) for _ in range(draw(st.sampled_from([1, 2, 2, 0])))]
    return device_model(
        code,
        *(serves(name, **specs) for name, specs in roles),
        evidence=draw(st.sampled_from("AABC")),
        price=draw(_money),
        repair_cost=draw(_money),
        max_units=draw(st.sampled_from([None, None, None, 0])),
        repair_success=draw(st.sampled_from([1, 0.5, 0.5, 0])),
    )


@st.composite
def _methods(draw: st.DrawFn, code: str) -> Method:
    needs = [
        (draw(_classes), draw(_requirements)) for _ in range(draw(st.sampled_from([2, 1, 3, 0])))
    ]
    return method(
        code,
        draw(st.sampled_from(TESTS)),
        *(need(name, **require) for name, require in needs),
        sensitivity=draw(st.sampled_from([0.5, 0.9])),
        consumable_cost=draw(st.sampled_from([1, 2])),
        skills=draw(_some(SKILLS)) if draw(st.booleans()) else [],
        infrastructure=draw(_some(ITEMS)) if draw(st.booleans()) else [],
    )


@st.composite
def _bundles(draw: st.DrawFn, model: str) -> Bundle:
    return bundle(
        model,
        skills=draw(_some(SKILLS)),
        infrastructure=draw(_some(ITEMS)),
        cost=draw(_money),
    )


@st.composite
def _sites(draw: st.DrawFn, code: str) -> Site:
    return site(
        code,
        level=draw(st.sampled_from([1, 2])),
        skills=SKILLS if draw(st.booleans()) else draw(_some(SKILLS)),
        infrastructure=ITEMS if draw(st.booleans()) else draw(_some(ITEMS)),
        demand={test: demand for test in TESTS if (demand := draw(_demand)) is not None},
    )


@st.composite
def _stock(draw: st.DrawFn, at: str, model: str) -> Stock:
    working, broken = draw(_units)
    return stock(at, model, working=working, broken=broken)


def _links(origin: str, to: str) -> st.SearchStrategy[Link]:
    hours_and_cost = st.tuples(st.integers(1, 6), st.integers(0, 1))
    return hours_and_cost.map(lambda both: link(origin, to, hours=both[0], cost=both[1]))
