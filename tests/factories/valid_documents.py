"""Generated planning cases as plain JSON: any codes, texts and numbers that keep the rules."""

from typing import Any

from hypothesis import strategies as st

from planner.engine.conditions import COMPARATORS
from tests.factories.documents import finite, texts
from tests.factories.versions import as_version_2

amounts = st.floats(0, 1e9) | st.integers(0, 10**9)
shares = st.floats(0, 1) | st.sampled_from([0, 1])
spec_scalars = finite | st.integers(-(2**53), 2**53) | st.booleans() | texts
pairs = st.lists(finite, min_size=2, max_size=2).map(sorted)
operands = {
    "min": finite,
    "max": finite,
    "between": pairs,
    "covers": pairs,
    "is": spec_scalars,
    "has": st.lists(spec_scalars, min_size=1, max_size=3),
}
conditions = st.sampled_from(COMPARATORS).flatmap(
    lambda comparator: st.fixed_dictionaries({comparator: operands[comparator]})
)
specs = spec_scalars | st.lists(spec_scalars, max_size=3)
codes = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=100)


def _codes(draw: st.DrawFn, least: int = 0) -> list[str]:
    return draw(st.lists(codes, min_size=least, max_size=4, unique=True))


def _some(of: list[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(of), unique=True) if of else st.just([])


def _amounts_by(of: list[str]) -> st.SearchStrategy[dict[str, float]]:
    return st.dictionaries(st.sampled_from(of), amounts) if of else st.just({})


def _record(code: str, **fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"code": st.just(code), "name": texts, **fields})


@st.composite
def valid_cases(draw: st.DrawFn) -> dict[str, Any]:
    """A case of either version that keeps every rule of the format, any codes and numbers."""
    document = draw(_cases_of_version_1())
    return draw(_asking_more(document)) if draw(st.booleans()) else document


@st.composite
def _asking_more(draw: st.DrawFn, document: dict[str, Any]) -> dict[str, Any]:
    """The case in version 2, with what only that version can say."""
    for model in document["device_models"]:
        model["max_units"] = draw(_few_counts)
        model |= {"uptime": draw(_few_shares), "repair_success": draw(_few_shares)}
    document["limits"]["supervised_share"] = draw(_few_shares)
    models = [model["code"] for model in document["device_models"]]
    sites = [site["code"] for site in document["sites"]]
    document["limits"]["models_per_class"] = draw(
        st.sampled_from([{}, {"bath": 0}, {"a.b": 2**53 - 1}])
    )
    document["bundles"] = [
        {
            "code": code,
            "name": "any name",
            "model": code,
            "cost": draw(_few_amounts),
            "skills": [skill["code"] for skill in document["skills"][:1]],
            "infrastructure": [],
        }
        for code in models[: draw(_one_or_none)]
    ]
    document["moves"] = [
        {
            "from": sites[0],
            "to": sites[-1],
            "model": code,
            "units": draw(st.sampled_from([0, 2, 2**53 - 1])),
            "cost": draw(_few_amounts),
        }
        for code in models[: draw(_one_or_none) if len(sites) > 1 else 0]
    ]
    tests = [test["code"] for test in document["tests"]]
    document["minimum_sets"] = [
        {
            "code": code,
            "name": "any name",
            "levels": draw(st.sampled_from([[], [1], [2, 3]])),
            "tests": tests[:1],
            "share": draw(_few_shares),
        }
        for code in ["first"][: draw(_one_or_none)]
    ]
    document["aim"] = draw(_aims(document))
    document["fixed"] = [
        {"site": site["code"], "kind": kind, "item": item["code"], **draw(_quantities)}
        for kind, name in KINDS.items()
        for item in document[name][:1]
        for site in document["sites"][:1]
        if draw(_one_or_none)
    ]
    return as_version_2(document)


def _aims(document: dict[str, Any]) -> st.SearchStrategy[dict[str, Any]]:
    target = {
        "area": st.none() | st.sampled_from([area["code"] for area in document["areas"]]),
        "programme": st.none() | st.sampled_from([p["code"] for p in document["programmes"]]),
        "share": _few_shares,
    }
    return st.one_of(
        st.just({"kind": "most"}),
        st.fixed_dictionaries(
            {
                "kind": st.just("least_money"),
                "targets": st.lists(st.fixed_dictionaries(target), max_size=1),
            }
        ),
        st.fixed_dictionaries(
            {"kind": st.just("worst_first"), "over": st.sampled_from(["areas", "levels"])}
        ),
    )


_one_or_none = st.integers(0, 1)
_few_shares = st.sampled_from([0, 0.25, 1])
_few_amounts = st.sampled_from([0, 12.5, 1e9])
_few_counts = st.sampled_from([None, 0, 2**53 - 1])
_quantities = st.tuples(st.integers(0, 3), st.none() | st.integers(3, 9)).map(
    lambda both: {"at_least": both[0], "at_most": both[1]}
)


@st.composite
def _cases_of_version_1(draw: st.DrawFn) -> dict[str, Any]:
    areas, programmes, sites = _codes(draw, 1), _codes(draw, 1), _codes(draw, 1)
    skills, infrastructure, models, tests = (_codes(draw) for _ in range(4))
    return {
        "format": "benchward-case",
        "version": 1,
        "title": draw(texts),
        "currency": draw(st.from_regex(r"\A[A-Z]{3}\Z")),
        "minimum_evidence": draw(st.sampled_from("ABCD")),
        "areas": [draw(_record(code, floor=shares)) for code in areas],
        "programmes": [draw(_record(code)) for code in programmes],
        "skills": [draw(_skill(code)) for code in skills],
        "infrastructure": [draw(_infrastructure(code)) for code in infrastructure],
        "device_models": [draw(_device_model(code, programmes)) for code in models],
        "tests": [draw(_lab_test(code, programmes)) for code in tests],
        "methods": [
            draw(_method(code, tests, skills, infrastructure))
            for code in (_codes(draw) if tests else [])
        ],
        "sites": [draw(_site(code, areas, skills, infrastructure, tests)) for code in sites],
        "stock": [
            {"site": site, "model": model, "working": draw(counts), "broken": draw(counts)}
            for site in draw(_some(sites))
            for model in draw(_some(models))
        ],
        "links": [
            {"from": origin, "to": to, "hours": draw(amounts), "cost": draw(amounts)}
            for origin in draw(_some(sites))
            for to in draw(_some(sites))
            if origin != to
        ],
        "limits": {
            "capital": draw(amounts),
            "earmarks": draw(_amounts_by(programmes)),
            "recurrent": draw(st.none() | amounts),
            "trainer_days": draw(st.none() | amounts),
            "max_units": draw(counts),
        },
    }


KINDS = {"buy": "device_models", "train": "skills", "provide": "infrastructure"}
counts = st.integers(0, 2**53 - 1) | st.integers(0, 3).map(float)


def _skill(code: str) -> st.SearchStrategy[dict[str, Any]]:
    return _record(code, training_cost=amounts, trainer_days=amounts, supervision_cost=amounts)


def _infrastructure(code: str) -> st.SearchStrategy[dict[str, Any]]:
    return _record(code, cost=st.dictionaries(st.integers(0, 12).map(str), amounts, max_size=3))


def _device_model(code: str, programmes: list[str]) -> st.SearchStrategy[dict[str, Any]]:
    role = {"class": codes, "specs": st.dictionaries(codes, specs, max_size=3)}
    return _record(
        code,
        evidence=st.sampled_from("ABCD"),
        serves=st.lists(st.fixed_dictionaries(role), max_size=2),
        price=amounts,
        annual_cost=amounts,
        hours_per_year=amounts,
        repair_cost=amounts,
        programmes=_some(programmes),
    )


def _lab_test(code: str, programmes: list[str]) -> st.SearchStrategy[dict[str, Any]]:
    programme, hours = st.sampled_from(programmes), st.none() | amounts
    return _record(code, programme=programme, weight=amounts, max_transport_hours=hours)


def _method(
    code: str, tests: list[str], skills: list[str], infrastructure: list[str]
) -> st.SearchStrategy[dict[str, Any]]:
    require = st.dictionaries(codes, conditions, max_size=3)
    need = {"class": codes, "require": require, "hours": amounts}
    method = {
        "code": st.just(code),
        "test": st.sampled_from(tests),
        "sensitivity": shares,
        "staff_hours": amounts,
        "consumable_cost": amounts,
        "needs": st.lists(st.fixed_dictionaries(need), max_size=2),
        "skills": _some(skills),
        "infrastructure": _some(infrastructure),
    }
    return st.fixed_dictionaries(method)


def _site(
    code: str, areas: list[str], skills: list[str], infrastructure: list[str], tests: list[str]
) -> st.SearchStrategy[dict[str, Any]]:
    return _record(
        code,
        area=st.sampled_from(areas),
        level=st.integers(0, 12),
        latitude=st.floats(-90, 90),
        longitude=st.floats(-180, 180),
        population=amounts,
        staff_hours=amounts,
        skills=_some(skills),
        infrastructure=_some(infrastructure),
        demand=_amounts_by(tests),
    )
