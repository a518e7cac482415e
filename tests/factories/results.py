"""Results of planning cases for tests: the example's written out, and plain parts."""

from pathlib import Path
from typing import Any

from planner.engine.case import Case, Result

FIXTURES = Path(__file__).parents[2] / "fixtures"


def three_sites() -> Case:
    return Case.read(FIXTURES / "cases" / "three-sites.json")


def three_sites_result() -> dict[str, Any]:
    """An optimal answer to ``three_sites``, as plain JSON values.

    Objective 10 525 = 2600 × 0.92 + 2100 × 0.85 + 3100 × 1.8 + 700 × 0.48 + 240 × 1.8.
    Capital 1360 + earmark 400 = 45 + 80 + 120 + 160 + 80 + 780 + 45 + 450.
    Running cost 1924 = units 12 + 40 + 10 + 40 + 12, supervision 20 + 20 + 60, and
    2600 × 0.08 + 900 × 0.08 + 1200 × 0.08 + 3100 × 0.2 + 700 × 0.1 + 240 × 0.35 + 700 × 0.8.
    """
    return {
        "format": "benchward-result",
        "version": 1,
        "case_sha256": three_sites().sha256(),
        "status": "optimal",
        "objective": 10525.0,
        "bound": 10525.0,
        "gap": 0.0,
        "seconds": 0.1,
        "solver": "by hand",
        "money": {"capital": 1360.0, "recurrent": 1924.0, "earmarks": {"malaria": 400.0}},
        "actions": [
            action("ashbrook", "buy", "spin-hand", cost=45.0),
            action("ashbrook", "train", "spinning", cost=80.0),
            action("millford", "repair", "micro-led", cost=120.0),
            action("millford", "buy", "crank", cost=160.0),
            action("millford", "train", "spinning", cost=80.0),
            action("thornley", "buy", "micro-led", cost=780.0),
            action("thornley", "buy", "spin-hand", cost=45.0),
            action("thornley", "train", "microscopy", cost=450.0),
        ],
        "volumes": [
            volume("ashbrook", "ashbrook", "pcv-hand", 900.0),
            volume("millford", "millford", "pcv-electric", 2600.0),
            volume("thornley", "thornley", "pcv-hand", 1200.0),
            volume("ashbrook", "millford", "malaria-smear", 700.0),
            volume("millford", "millford", "malaria-smear", 1500.0),
            volume("thornley", "thornley", "malaria-smear", 900.0),
            volume("millford", "millford", "urine-sediment", 700.0),
            volume("millford", "millford", "afb-direct", 180.0),
            volume("thornley", "thornley", "afb-direct", 60.0),
        ],
        "objective_before": 0.0,
        "reasons": [],
    }


def result(case: Case, **given: Any) -> Result:
    """A result of ``case`` in which nothing is done and nothing is possible, but for ``given``."""
    objective = given.get("objective", 0.0)
    bound = given.get("bound", objective)
    last = {"of": "worth", "groups": (), "reached": objective, "bound": bound}
    stages: tuple[dict[str, Any], ...] = ()
    if case.version > 1 and objective is not None and bound is not None:
        last["gap"] = abs(bound - objective) / max(objective, 1e-9)
        stages = (last,)
    return Result.model_validate(
        {
            "format": "benchward-result",
            "version": case.version,
            "case_sha256": case.sha256(),
            "status": "optimal",
            "objective": 0.0,
            "bound": bound,
            "gap": 0.0,
            "seconds": 0.0,
            "solver": "none",
            "money": {"capital": 0.0, "recurrent": 0.0, "earmarks": {}},
            "actions": (),
            "volumes": (),
            "objective_before": 0.0,
            "reasons": (),
            "stages": stages,
            **given,
        }
    )


def action(
    site: str, kind: str, item: str, *, cost: float = 0.0, quantity: int = 1
) -> dict[str, Any]:
    return {"site": site, "kind": kind, "item": item, "quantity": quantity, "cost": cost}


def volume(origin: str, at: str, method: str, per_year: float) -> dict[str, Any]:
    return {"from": origin, "at": at, "method": method, "per_year": per_year}
