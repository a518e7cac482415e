"""The planner's answer, together with the judge's."""

import json
import math
from collections.abc import Callable
from typing import Any

from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Result

GAP = 1e-6
"""Solvers are asked for the optimum itself, and may miss it by this share."""


def judged_plan(case: Case, **settings: Any) -> Result:
    """A plan with no gap, which the judge accepts."""
    answer = plan(case, gap=0.0, **settings)
    assert verify(case, answer) == []
    return answer


def best(case: Case, **settings: Any) -> float:
    """The objective of ``judged_plan``; minus infinity where the limits exclude every plan."""
    objective = judged_plan(case, **settings).objective
    return -math.inf if objective is None else objective


def changed(case: Case, change: Callable[[dict[str, Any]], None]) -> Case:
    """A case that differs from ``case`` by what ``change`` does to its JSON values."""
    document = case.to_json()
    change(document)
    return Case.read(json.dumps(document))
