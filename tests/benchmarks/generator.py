"""Invented planning cases of any size, the same for ever for the same numbers.

A country of areas with about ten sites each: health posts (level 1), centres (2) and
hospitals (3), better stocked and staffed the higher. Three programmes bring earmarked
money, some areas have floors, and capital, running cost and trainer days are all scarce.
"""

import json
import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from planner.engine.case import Case
from tests.benchmarks.catalogue import (
    AUXILIARY,
    INFRASTRUCTURE,
    LADDERS,
    SKILLS,
    TWO_CLASS_MODELS,
    Ladder,
)

SITES_PER_AREA = 10
LEVEL_SHARES = {1: 0.70, 2: 0.24, 3: 0.06}
POPULATION = {1: (2500, 9000), 2: (9000, 28000), 3: (45000, 120000)}
STAFF_HOURS = {1: (350, 1100), 2: (1300, 4200), 3: (7000, 20000)}
HELD = {1: 0.10, 2: 0.35, 3: 0.75}  # how much of a class, skill or item a site has already
PROGRAMMES = ("general", "fever", "chronic", "maternal")
EARMARKS = {"fever": 0.06, "chronic": 0.04, "maternal": 0.04}  # as shares of capital
CAPITAL_PER_SITE = 4200
RECURRENT_PER_SITE = 5200
TRAINER_DAYS_PER_SITE = 4.5
COURIER_KM_PER_HOUR = 25

Document = dict[str, Any]


def generate_case(sites: int, tests: int, seed: int, hubs_per_site: int = 0) -> Case:
    """A case of ``sites`` × ``tests`` drawn from ``seed``; links to the nearest higher sites."""
    draw = np.random.default_rng(seed)
    models = list(_models(draw))
    lab_tests = [_lab_test(draw, number) for number in range(tests)]
    methods = [method for test in lab_tests for method in _methods(draw, test["code"])]
    places = [_site(draw, number, sites, lab_tests) for number in range(sites)]
    document = {
        "format": "benchward-case",
        "version": 1,
        "title": f"Invented: {sites} sites, {tests} tests, seed {seed}",
        "currency": "XTS",
        "minimum_evidence": "C",
        "areas": [
            {"code": code, "name": code, "floor": float(draw.choice([0, 0, 0.05, 0.1]))}
            for code in sorted({place["area"] for place in places})
        ],
        "programmes": [{"code": code, "name": code.title()} for code in PROGRAMMES],
        "skills": list(_skills()),
        "infrastructure": [
            {"code": code, "name": code, "cost": cost} for code, cost in INFRASTRUCTURE.items()
        ],
        "device_models": models,
        "tests": lab_tests,
        "methods": methods,
        "sites": places,
        "stock": list(_stock(draw, places, models)),
        "links": list(_links(draw, places, hubs_per_site)) if hubs_per_site else [],
        "limits": {
            "capital": CAPITAL_PER_SITE * sites,
            "earmarks": {
                code: round(share * CAPITAL_PER_SITE * sites) for code, share in EARMARKS.items()
            },
            "recurrent": RECURRENT_PER_SITE * sites,
            "trainer_days": TRAINER_DAYS_PER_SITE * sites,
            "max_units": 3,
        },
    }
    return Case.read(json.dumps(document))


def _skills() -> Iterator[Document]:
    for code, (cost, days, supervision) in SKILLS.items():
        yield {"code": code, "name": code, "training_cost": cost, "trainer_days": days,
               "supervision_cost": supervision}  # fmt: skip


def _models(draw: np.random.Generator) -> Iterator[Document]:
    attribute = {ladder.device_class: ladder.attribute for ladder in LADDERS}
    for ladder in LADDERS:
        for number, rung in enumerate(ladder.rungs):
            serves = [_serves(ladder.device_class, attribute, rung.reach)]
            yield _model(
                draw, f"{ladder.device_class}-{number + 1}", serves, rung.price, rung.hours_per_year
            )
    for first, second, price, hours in TWO_CLASS_MODELS:
        serves = [_serves(name, attribute, reach) for name, reach in (first, second)]
        yield _model(draw, f"{first[0]}-{first[1]}-with-{second[0]}", serves, price, hours)
    # A promising device that nobody has evaluated: never counted, whatever its price.
    serves = [_serves("microscope", attribute, 1000)]
    yield {**_model(draw, "microscope-of-paper", serves, 12, 400), "evidence": "D"}


def _serves(device_class: str, attribute: dict[str, str], reach: float) -> Document:
    return {"class": device_class, "specs": {attribute[device_class]: reach}}


def _model(
    draw: np.random.Generator, code: str, serves: list[Document], price: float, hours: float
) -> Document:
    price = round(price * draw.uniform(0.85, 1.2), -1)
    tags = [code for code in PROGRAMMES[1:] if draw.random() < 0.25]
    return {
        "code": code,
        "name": code.replace("-", " "),
        "evidence": str(draw.choice(["A", "A", "B", "C"])),
        "serves": serves,
        "price": price,
        "annual_cost": round(0.08 * price),
        "hours_per_year": hours,
        "repair_cost": round(0.22 * price),
        "programmes": tags,
    }


def _lab_test(draw: np.random.Generator, number: int) -> Document:
    travels = draw.random() < 0.6
    return {
        "code": f"test-{number + 1:02}",
        "name": f"Test {number + 1}",
        "programme": str(draw.choice(PROGRAMMES)),
        "weight": round(float(draw.lognormal(0.2, 0.6)), 2),
        "max_transport_hours": float(draw.choice([4, 8, 24, 72])) if travels else None,
    }


def _methods(draw: np.random.Generator, test: str) -> Iterator[Document]:
    """One to three ways to do a test: other classes or other rungs, better ones dearer."""
    shares = np.array([ladder.share for ladder in LADDERS])
    for number in range(int(draw.choice([1, 2, 3], p=[0.5, 0.3, 0.2]))):
        ladder = LADDERS[draw.choice(len(LADDERS), p=shares / shares.sum())]
        rung = int(draw.integers(len(ladder.rungs)))
        yield _method(draw, f"{test}-{number + 1}", test, ladder, rung)


def _method(draw: np.random.Generator, code: str, test: str, ladder: Ladder, rung: int) -> Document:
    needs = [_need(ladder, rung, hours=round(ladder.hours * draw.uniform(0.6, 1.4), 3))]
    for auxiliary in LADDERS:
        if auxiliary.device_class in AUXILIARY and auxiliary is not ladder and draw.random() < 0.15:
            lowest = int(draw.integers(len(auxiliary.rungs)))
            needs.append(_need(auxiliary, lowest, hours=auxiliary.hours))
    return {
        "code": code,
        "test": test,
        "sensitivity": round(float(draw.uniform(0.55, 0.85) + 0.06 * rung), 3),
        "staff_hours": round(float(draw.uniform(0.05, 0.35)), 3),
        "consumable_cost": round(float(draw.lognormal(-0.9, 0.9)), 2),
        "needs": needs,
        "skills": [ladder.skill] if ladder.skill else [],
        "infrastructure": [ladder.infrastructure] if ladder.infrastructure and rung else [],
    }


def _need(ladder: Ladder, rung: int, *, hours: float) -> Document:
    require = {ladder.attribute: {"min": ladder.rungs[rung].reach}}
    return {"class": ladder.device_class, "require": require, "hours": hours}


def _site(
    draw: np.random.Generator, number: int, sites: int, lab_tests: list[Document]
) -> Document:
    level = int(draw.choice(list(LEVEL_SHARES), p=list(LEVEL_SHARES.values())))
    area = number // SITES_PER_AREA
    columns = math.ceil(math.sqrt(sites / SITES_PER_AREA))
    population = round(draw.uniform(*POPULATION[level]))
    return {
        "code": f"site-{number + 1:05}",
        "name": f"Site {number + 1}",
        "area": f"area-{area + 1:04}",
        "level": level,
        "latitude": round(float(0.5 * (area // columns) + draw.uniform(0, 0.5)), 4),
        "longitude": round(float(20 + 0.5 * (area % columns) + draw.uniform(0, 0.5)), 4),
        "population": population,
        "staff_hours": round(draw.uniform(*STAFF_HOURS[level])),
        "skills": [code for code in SKILLS if draw.random() < HELD[level]],
        "infrastructure": [code for code in INFRASTRUCTURE if draw.random() < HELD[level]],
        "demand": _demand(draw, level, population, lab_tests),
    }


def _demand(
    draw: np.random.Generator, level: int, population: int, lab_tests: list[Document]
) -> dict[str, int]:
    """About 0.7 tests a person and year, unevenly; posts are not asked for every test."""
    demand = {}
    for test in lab_tests:
        volume = population * 0.7 / len(lab_tests) * float(draw.lognormal(-0.4, 0.9))
        if (level > 1 or draw.random() < 0.75) and round(volume) > 0:
            demand[test["code"]] = round(volume)
    return demand


def _stock(
    draw: np.random.Generator, places: list[Document], models: list[Document]
) -> Iterator[Document]:
    """Cheaper models are commoner, higher sites have more, a quarter of all units is broken."""
    for place in places:
        for model in models:
            if draw.random() < HELD[place["level"]] * min(1.0, 600 / model["price"]):
                units = int(draw.integers(1, 2 + (place["level"] == 3)))
                broken = int(draw.binomial(units, 0.25))
                yield {"site": place["code"], "model": model["code"],
                       "working": units - broken, "broken": broken}  # fmt: skip


def _links(
    draw: np.random.Generator, places: list[Document], hubs_per_site: int
) -> Iterator[Document]:
    """From every site to the nearest sites of a level at least its own, level 2 or above."""
    spots = np.array([(place["latitude"], place["longitude"]) for place in places])
    levels = np.array([place["level"] for place in places])
    for index, place in enumerate(places):
        higher = np.flatnonzero(levels >= max(2, place["level"]))
        higher = higher[higher != index]
        km = 111 * np.hypot(*(spots[higher] - spots[index]).T)
        wanted = min(hubs_per_site, len(higher))
        near = np.argpartition(km, wanted - 1)[:wanted] if wanted else np.arange(0)
        for hub in near[np.lexsort((higher[near], km[near]))]:
            waiting_hours = float(draw.choice([1, 2, 6, 24]))
            yield {
                "from": place["code"],
                "to": places[higher[hub]]["code"],
                "hours": round(waiting_hours + float(km[hub]) / COURIER_KM_PER_HOUR, 1),
                "cost": round(0.15 + 0.02 * float(km[hub]), 2),
            }
