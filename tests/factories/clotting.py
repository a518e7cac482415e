"""Cases around one test, clotting, by one method that needs a centrifuge of 1500 g.

Platelet-poor plasma is spun at 1500 g for 15 minutes (CLSI H21; from memory).
"""

from typing import Any

from planner.engine.case import Case, Link
from tests.factories.cases import (
    case,
    device_model,
    lab_test,
    method,
    need,
    serves,
    site,
    stock,
)

PLASMA = need("centrifuge", rcf_g={"min": 1500})
SPINNER = device_model("spinner", serves("centrifuge", rcf_g=1500), price=900, repair_cost=200)


def plasma(**given: Any) -> Case:
    """One site that asks for one test, by one method that needs a centrifuge of 1500 g."""
    values = {
        "device_models": [SPINNER],
        "tests": [lab_test("clotting")],
        "methods": [method("plasma", "clotting", PLASMA)],
        "sites": [site("hill", demand={"clotting": 10})],
    }
    return case(**{**values, **given})


def referring(*links: Link, limit_hours: float | None = 24, **given: Any) -> Case:
    """Plasma is asked for at the hill; town and port can spin it, wood cannot."""
    values = {
        "tests": [lab_test("clotting", max_transport_hours=limit_hours)],
        "sites": [site("hill", demand={"clotting": 10}), site("port"), site("town"), site("wood")],
        "stock": [stock("port", "spinner", working=1), stock("town", "spinner", working=1)],
        "links": links,
    }
    return plasma(**{**values, **given})
