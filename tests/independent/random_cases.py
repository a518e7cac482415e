"""Small planning cases drawn from a seed, with every feature of the case format in play.

Four sites, a few models and methods: small enough for enumeration, crooked enough (models
that serve two classes, chains of grades, earmarks, floors, repairs, referral, scarce hours,
poor evidence, limits that are absent) for a wrong row to show.
"""

import json
import random
from typing import Any

from planner.engine.case import Case

SITES = ("hill", "lake", "mill", "wood")
AREAS = ("east", "west")
PROGRAMMES = ("fever", "general")
SKILLS = ("optics", "spinning")
INFRASTRUCTURE = ("power",)


def random_case(seed: int) -> Case:
    """The case of ``seed``: the same for ever, whatever the machine."""
    return Case.read(json.dumps(random_document(seed)))


def crowded_case(seed: int) -> Case:
    """The same district with more of everything, and loads that take several units.

    Too large for enumeration; here unit limits, fractions of hours and the choice between
    repair, cheap and lasting units decide.
    """
    document = random_document(seed)
    draw = random.Random(-seed - 1)
    tests = [_test(draw, f"t{number}") for number in range(draw.randint(2, 5))]
    models = [_model(draw, f"d{number}") for number in range(draw.randint(3, 6))]
    for model in models:
        model |= {
            "evidence": draw.choice("AAAB"),
            "hours_per_year": draw.choice([20, 60, 150, 333.3]),
        }
    methods = [
        _method(draw, f"m{number}", draw.choice(tests)["code"])
        for number in range(draw.randint(4, 9))
    ]
    for need in (need for method in methods for need in method["needs"]):
        need["hours"] = draw.choice([0, 0.07, 0.13, 0.31])
    for site in document["sites"]:
        site["demand"] = {t["code"]: draw.choice([0, 33.5, 120, 500, 1500, 4000]) for t in tests}
        site["staff_hours"] = draw.choice([0, 120, 400, 2000, 9000])
    for area in document["areas"]:
        area["floor"] = draw.choice([0, 0, 0, 0.1, 0.25])
    document |= {"tests": tests, "device_models": models, "methods": methods}
    document["stock"] = [
        {
            "site": site,
            "model": model["code"],
            "working": draw.choice([0, 0, 1, 2]),
            "broken": draw.choice([0, 1, 3]),
        }
        for site in SITES
        for model in models
        if draw.random() < 0.4
    ]
    document["limits"] |= {
        "capital": draw.choice([0, 300, 1500, 4000]),
        "earmarks": {code: draw.choice([0, 400, 2000]) for code in PROGRAMMES},
        "recurrent": draw.choice([None, 500, 2500, 8000]),
        "max_units": draw.choice([0, 1, 2, 3, 6]),
    }
    return Case.read(json.dumps(document))


def random_document(seed: int) -> dict[str, Any]:
    draw = random.Random(seed)
    floors = draw.random() < 0.3
    tests = [_test(draw, f"t{number}") for number in range(draw.randint(2, 3))]
    methods = [_method(draw, f"m{number}", draw.choice(tests)["code"]) for number in range(4)]
    models = [_model(draw, f"d{number}") for number in range(draw.randint(2, 3))]
    return {
        "format": "benchward-case",
        "version": 1,
        "title": f"Random case {seed}",
        "currency": "XTS",
        "minimum_evidence": draw.choice("BBC"),
        "areas": [
            {
                "code": code,
                "name": code.title(),
                "floor": round(draw.uniform(0.02, 0.3), 2) if floors else 0.0,
            }
            for code in AREAS
        ],
        "programmes": [{"code": code, "name": code.title()} for code in PROGRAMMES],
        "skills": [_skill(draw, code) for code in SKILLS],
        "infrastructure": [
            {
                "code": code,
                "name": code.title(),
                "cost": {"1": draw.randint(50, 300), "2": draw.randint(20, 200)},
            }
            for code in INFRASTRUCTURE
        ],
        "device_models": models,
        "tests": tests,
        "methods": methods,
        "sites": [_site(draw, code, tests) for code in SITES],
        "stock": _stock(draw, models),
        "links": _links(draw),
        "limits": _limits(draw),
    }


def _skill(draw: random.Random, code: str) -> dict[str, Any]:
    return {
        "code": code,
        "name": code.title(),
        "training_cost": draw.randint(20, 200),
        "trainer_days": draw.choice([0, 1, 2, 5]),
        "supervision_cost": draw.choice([0, 10, 40]),
    }


def _model(draw: random.Random, code: str) -> dict[str, Any]:
    """A model of one class, or, one time in three, of both."""
    microscope = {"class": "microscope", "specs": {"magnification": draw.choice([400, 1000])}}
    if draw.random() < 0.2:
        microscope["specs"] = {}  # not measured: unknown, so it suits nothing that asks
    centrifuge = {
        "class": "centrifuge",
        "specs": {
            "rcf_g": draw.choice([500, 3000, 12000]),
            "rotors": draw.choice([["tube"], ["capillary"], ["tube", "capillary"]]),
            "temperature_c": draw.choice([[5, 40], [15, 30]]),
            "mains": draw.choice([True, False]),
        },
    }
    return {
        "code": code,
        "name": f"Model {code}",
        "evidence": draw.choice("AABBCD"),
        "serves": draw.choice([[microscope], [centrifuge], [microscope, centrifuge]]),
        "price": draw.randint(40, 600),
        "annual_cost": draw.choice([0, 15, 60]),
        "hours_per_year": draw.choice([60, 150, 400, 2000]),
        "repair_cost": draw.randint(10, 150),
        "programmes": draw.choice([[], ["fever"], ["general"], ["fever", "general"]]),
    }


def _test(draw: random.Random, code: str) -> dict[str, Any]:
    return {
        "code": code,
        "name": f"Test {code}",
        "programme": draw.choice(PROGRAMMES),
        "weight": draw.choice([0.5, 1.0, 2.0, 3.5]),
        "max_transport_hours": draw.choice([None, 4, 24, 72]),
    }


def _method(draw: random.Random, code: str, test: str) -> dict[str, Any]:
    return {
        "code": code,
        "test": test,
        "sensitivity": draw.choice([0.6, 0.8, 0.9, 0.97]),
        "staff_hours": draw.choice([0.05, 0.1, 0.3]),
        "consumable_cost": draw.choice([0.0, 0.1, 0.9]),
        "needs": draw.choice(
            [
                [_microscope_need(draw)],
                [_centrifuge_need(draw)],
                [_microscope_need(draw), _centrifuge_need(draw)],
                [_microscope_need(draw), _microscope_need(draw)],
                [],
            ]
        ),
        "skills": [code for code in SKILLS if draw.random() < 0.35],
        "infrastructure": [code for code in INFRASTRUCTURE if draw.random() < 0.3],
    }


def _microscope_need(draw: random.Random) -> dict[str, Any]:
    require = {"magnification": {"min": draw.choice([400, 1000])}}
    return {"class": "microscope", "require": require, "hours": draw.choice([0, 0.1, 0.25])}


def _centrifuge_need(draw: random.Random) -> dict[str, Any]:
    conditions = {
        "rcf_g": draw.choice([{"between": [400, 3000]}, {"min": 3000}, {"max": 3000}]),
        "rotors": {"has": [draw.choice(["tube", "capillary"])]},
        "temperature_c": {"covers": [15, 30]},
        "mains": {"is": False},
    }
    kept = draw.sample(sorted(conditions), draw.randint(0, 2))
    return {
        "class": "centrifuge",
        "require": {attribute: conditions[attribute] for attribute in kept},
        "hours": draw.choice([0, 0.05, 0.2]),
    }


def _site(draw: random.Random, code: str, tests: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "code": code,
        "name": code.title(),
        "area": draw.choice(AREAS),
        "level": draw.choice([1, 2, 3]),
        "latitude": 0.0,
        "longitude": 0.0,
        "population": draw.randint(1000, 9000),
        "staff_hours": draw.choice([40, 120, 400, 2000]),
        "skills": [skill for skill in SKILLS if draw.random() < 0.5],
        "infrastructure": [item for item in INFRASTRUCTURE if draw.random() < 0.5],
        "demand": {
            test["code"]: draw.choice([0, 120, 500, 1500]) for test in tests if draw.random() < 0.85
        },
    }


def _stock(draw: random.Random, models: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "site": site,
            "model": model["code"],
            "working": draw.choice([0, 0, 1]),
            "broken": draw.choice([0, 1, 1]),
        }
        for site in SITES
        for model in models
        if draw.random() < 0.3
    ]


def _links(draw: random.Random) -> list[dict[str, Any]]:
    return [
        {
            "from": origin,
            "to": to,
            "hours": draw.choice([2, 4, 20, 48, 96]),
            "cost": draw.choice([0.0, 0.2, 1.5]),
        }
        for origin in SITES
        for to in SITES
        if origin != to and draw.random() < 0.3
    ]


def _limits(draw: random.Random) -> dict[str, Any]:
    return {
        "capital": draw.choice([0, 150, 400, 800, 1500]),
        "earmarks": {
            code: draw.choice([0, 120, 400]) for code in PROGRAMMES if draw.random() < 0.5
        },
        "recurrent": draw.choice([None, 200, 600, 2500]),
        "trainer_days": draw.choice([None, 2, 6]),
        "max_units": draw.choice([1, 1, 2]),
    }
