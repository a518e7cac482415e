"""A complete result for a case, written down from the independent statement's optimum."""

from collections import defaultdict

from planner.engine.case import Case, Result
from tests.independent import statement
from tests.independent.statement import CAPITAL

_SMALLEST_PER_YEAR = 1e-6


def optimal_result(case: Case) -> Result:
    """The optimum of a feasible case with its actions, volumes and payments."""
    answer = statement.stated(case).maximise()
    assert answer is not None, "the limits of the case exclude every plan"
    objective, values = answer
    possible = statement.possible_actions(case)
    actions, volumes, drawn, recurrent = [], [], defaultdict(float), 0.0
    running_cost = statement.running_cost(case)
    for name, amount in values.items():
        recurrent += running_cost.get(name, 0.0) * amount
        if name in possible and round(amount):
            kind, site, item, *origin = name
            _, price, _ = possible[name]
            actions.append(
                {"site": site, "kind": kind, "item": item, "quantity": round(amount)}
                | {"cost": round(amount) * price, "moved_from": origin[0] if origin else None}
            )
        elif name[0] == "q" and amount >= _SMALLEST_PER_YEAR:
            _, origin, at, method = name
            volumes.append({"from": origin, "at": at, "method": method, "per_year": amount})
        elif name[0] == "pay":
            drawn[name[1]] += max(amount, 0.0)
    capital = drawn.pop(CAPITAL, 0.0)
    return Result.model_validate(
        {
            "format": "benchward-result",
            "version": case.version,
            "case_sha256": case.sha256(),
            "status": "optimal",
            "objective": objective,
            "bound": objective,
            "gap": 0.0,
            "seconds": 0.0,
            "solver": "scipy.optimize.milp",
            "money": {"capital": capital, "recurrent": recurrent, "earmarks": dict(drawn)},
            "actions": tuple(actions),
            "volumes": tuple(volumes),
            "objective_before": statement.optimum_before(case),
            "reasons": (),
        }
    )
