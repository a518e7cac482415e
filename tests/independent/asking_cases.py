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


def _entry(
    site: dict[str, Any], kind: str, item: dict[str, Any], least: int, most: int | None
) -> dict[str, Any]:
    at_most = None if most is None else max(least, most)
    entry = {"site": site["code"], "kind": kind, "item": item["code"]}
    return entry | {"at_least": least, "at_most": at_most}
