"""Small planning cases of version 2 drawn from a seed: what can be asked, on the same districts.

The districts are those of ``random_cases``; every question of version 2 comes up, alone and
with others.
"""

import json
import random
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
    return document
