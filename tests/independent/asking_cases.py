"""Small planning cases of version 2 drawn from a seed: what can be asked, on the same districts.

The districts are those of ``random_cases``; every question of version 2 comes up, alone and
with others.
"""

import json
import random
from collections.abc import Iterator
from typing import Any

from planner.engine.case import Case
from tests.factories.versions import as_version_2
from tests.independent.random_cases import random_document


def asking_case(seed: int) -> Case:
    """The case of ``seed``: the same for ever, whatever the machine."""
    return Case.read(json.dumps(asking_document(seed)))


def asking_document(seed: int) -> dict[str, Any]:
    """The district of ``seed`` with questions of version 2."""
    document = as_version_2(random_document(seed))
    draw = random.Random(f"asking {seed}")
    for model in document["device_models"]:
        model["max_units"] = draw.choice([None, None, None, 0, 1, 2])
        model["uptime"] = draw.choice([1, 1, 0.8, 0.55])
        model["repair_success"] = draw.choice([1, 0.9, 0.6, 0.35, 0])
    document["limits"]["supervised_share"] = draw.choice([1, 0.5, 0])
    if draw.random() < 0.4:
        document["limits"]["models_per_class"] = {
            code: draw.choice([0, 1, 1, 2])
            for code in ("centrifuge", "microscope")
            if draw.random() < 0.6
        }
    document["bundles"] = [
        {
            "code": f"all of {model['code']}",
            "name": "Everything",
            "model": model["code"],
            "skills": [skill["code"] for skill in document["skills"] if draw.random() < 0.4],
            "infrastructure": [
                i["code"] for i in document["infrastructure"] if draw.random() < 0.4
            ],
            "cost": draw.choice([0, 25]),
        }
        for model in document["device_models"]
        if draw.random() < 0.3
    ]
    if draw.random() < 0.5:
        document["moves"] = list(_moves(draw, document))
    document["fixed"] = list(_fixed(draw, document)) if draw.random() < 0.4 else []
    return document


def _fixed(draw: random.Random, document: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """A few actions that must be taken or may not be; each is possible if money allows."""
    broken = {(entry["site"], entry["model"]): entry["broken"] for entry in document["stock"]}
    accepted = [
        m for m in document["device_models"] if m["evidence"] <= document["minimum_evidence"]
    ]
    for site in document["sites"]:
        for model in accepted:
            most = model["max_units"]
            most = document["limits"]["max_units"] if most is None else most
            if draw.random() < 0.2:
                least = draw.choice([0, min(1, most)])
                yield _entry(site, "buy", model, least, draw.choice([None, 0, 1]))
            most = broken.get((site["code"], model["code"]), 0)
            if draw.random() < 0.2:
                least = draw.choice([0, min(1, most)])
                yield _entry(site, "repair", model, least, draw.choice([None, 0]))
        for skill in document["skills"]:
            if skill["code"] not in site["skills"] and draw.random() < 0.2:
                yield _entry(site, "train", skill, draw.choice([0, 1]), draw.choice([None, 0]))


def _moves(draw: random.Random, document: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Some of the units that work today may be brought to other sites."""
    for entry in document["stock"]:
        for site in document["sites"]:
            if site["code"] != entry["site"] and draw.random() < 0.4:
                yield {
                    "from": entry["site"],
                    "to": site["code"],
                    "model": entry["model"],
                    "units": draw.choice([0, 1, 1, 2]),
                    "cost": draw.choice([0, 10, 60]),
                }


def _entry(
    site: dict[str, Any], kind: str, item: dict[str, Any], least: int, most: int | None
) -> dict[str, Any]:
    at_most = None if most is None else max(least, most)
    entry = {"site": site["code"], "kind": kind, "item": item["code"]}
    return entry | {"at_least": least, "at_most": at_most}


def aiming_case(seed: int) -> Case:
    """A district of version 2 with minimum sets, and money to be saved or people to be raised."""
    document = asking_document(seed)
    draw = random.Random(f"aiming {seed}")
    tests = [test["code"] for test in document["tests"]]
    document["minimum_sets"] = [
        {
            "code": f"set {number}",
            "name": f"Set {number}",
            "levels": draw.choice([[1], [1, 2], [2, 3], [1, 2, 3]]),
            "tests": draw.sample(tests, draw.randint(1, len(tests))),
            "share": draw.choice([1, 1, 0.8, 0.4]),
        }
        for number in range(draw.choice([0, 0, 1, 2]))
    ]
    targets = [
        {
            "area": draw.choice([None, "east", "west"]),
            "programme": draw.choice([None, None, "fever"]),
            "share": draw.choice([0.2, 0.5, 0.9]),
        }
        for _ in range(draw.randint(1, 2))
    ]
    document["aim"] = draw.choice(
        [
            {"kind": "most"},
            {"kind": "least_money", "targets": targets},
            {"kind": "worst_first", "over": draw.choice(["areas", "levels"])},
        ]
    )
    return Case.read(json.dumps(document))
