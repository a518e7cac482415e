"""The independent judge: is a result what its case allows, and worth what it says?

It recomputes everything from the case and the actions and volumes of the result, with
nothing of the optimiser and no solver of others: its own reading of conditions, its own
maximum flow for machine hours and money, its own sums. ``RULES`` lists what it checks.

What it proves: the plan can be carried out, keeps every limit and floor, costs and achieves
what is stated; and what the district can do today is as stated, as far as ``before`` can
close the bracket. What it cannot prove: that no better plan exists (of the bound it only
catches that it is below something possible), and that limits really exclude every plan (it
only refutes that where doing nothing is a plan).
"""

from planner.engine.allocation.verify import (
    actions,
    attained,
    claims,
    hours,
    money,
    together,
    volumes,
)
from planner.engine.allocation.verify.facts import facts_of, standing
from planner.engine.allocation.verify.violation import RULES, TOLERANCE, Rule, Violation
from planner.engine.asking import MOST
from planner.engine.case import Case, Result

__all__ = ["RULES", "TOLERANCE", "Rule", "Violation", "verify"]


def verify(case: Case, result: Result, *, floors: bool = True) -> list[Violation]:
    """Everything that is wrong with ``result`` as an answer to ``case``; empty if nothing is.

    ``floors=False`` leaves out the areas' floors and what else a plan must do, for a result
    that says what the district does today rather than what it plans.

    Amounts may be off by ``TOLERANCE``, relative to what they are compared with (absolute
    below 1). Parts that name unknown codes are reported, then left out of all sums.
    """
    facts = facts_of(case if floors else _as_it_stands(case))
    unknown = [
        *actions.unknown_codes(facts, result.actions),
        *volumes.unknown_codes(facts, result.volumes),
    ]
    left_out = {part for part, _ in unknown}
    taken = [action for action in result.actions if action not in left_out]
    done = [volume for volume in result.volumes if volume not in left_out]
    after = standing(facts, taken)
    found = [violation for _, violation in unknown]
    found += actions.violations(facts, taken)
    if result.status != "infeasible":
        found += actions.fixed_violations(facts, taken)
    found += together.violations(facts, after, taken)
    found += volumes.violations(facts, after, done)
    found += hours.violations(facts, after, done)
    found += money.violations(facts, taken, done, result.money)
    if case.version > 1 and result.status != "infeasible":
        found += attained.violations(facts, taken, done, result)
    # Volumes that are themselves in doubt say nothing about what is possible today.
    trusted = [] if found else done
    found += claims.violations(facts, done, trusted, result)
    if result.case_sha256 != case.sha256():
        text = f"The result is for a case with SHA-256 {result.case_sha256}, this is another."
        found.append(Violation("case-hash", text))
    return found


def _as_it_stands(case: Case) -> Case:
    areas = tuple(area.model_copy(update={"floor": 0.0}) for area in case.areas)
    questions = {"fixed": (), "minimum_sets": (), "aim": MOST}
    return case.model_copy(update={"areas": areas, **questions})
