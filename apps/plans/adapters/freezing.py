"""From a plan to the case that its run is computed from."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from apps.coverage.adapters import Frozen, LeftOut, freeze
from apps.coverage.adapters.verified import own_code
from apps.inventory.choices import Condition
from apps.inventory.models import EquipmentItem
from apps.plans.adapters.asking import Asked, IdleUnit, asked_of
from apps.plans.models import Plan
from planner.engine.asking import Fixed, Move
from planner.engine.case import Case, Limits
from planner.engine.errors import EngineError

GONE = "{item} was to be moved from here; it is not there any more, or not idle"


def case_of(plan: Plan) -> Frozen:
    """The register of the plan's district, frozen with the question of ``plan``.

    Units that were to be moved and are no longer idle are listed as left out. Raises
    ``EngineError`` where no facility has the numbers that a case needs, or one that lacks
    them is asked to do something.
    """
    asked = asked_of(plan)
    earmarks = plan.earmarks.values_list("programme__code", "amount")
    limits = Limits(
        capital=float(plan.capital),
        earmarks={code: float(amount) for code, amount in earmarks},
        recurrent=None if plan.recurrent is None else float(plan.recurrent),
        trainer_days=plan.trainer_days,
        max_units=plan.max_units,
        supervised_share=asked.supervised_share,
        models_per_class=asked.models_per_class,
    )
    frozen = freeze(
        plan.area,
        limits=limits,
        minimum_evidence=plan.minimum_evidence,
        floors=dict(plan.floors.values_list("area__code", "share")),
        title=plan.title,
    )
    return _asking(frozen, asked)


def _asking(frozen: Frozen, asked: Asked) -> Frozen:
    """The case with what is asked of it beyond its limits."""
    moves, gone = _moves(frozen.case, asked.idle_units)
    questions = {
        "aim": asked.aim,
        "minimum_sets": asked.minimum_sets,
        "fixed": tuple(_fixed(frozen.case, asked)),
        "bundles": asked.bundles,
        "moves": moves,
    }
    case = frozen.case.model_copy(update=questions)
    return replace(frozen, case=case, left_out=(*frozen.left_out, *gone))


def _fixed(case: Case, asked: Asked) -> Iterator[Fixed]:
    """What holds for every site, at each; what is said of one site goes before it."""
    sites = [site.code for site in case.sites]
    rules = {
        (site, rule.kind, rule.item): rule
        for rule in sorted(asked.fixed, key=lambda each: each.site is not None)
        for site in ([rule.site] if rule.site else sites)
    }
    for (site, kind, item), rule in sorted(rules.items()):
        if site not in sites:
            if rule.at_least:
                raise EngineError(
                    f"{site} must get {item}, but its population or testing hours are not known.",
                    remedy="Enter them in the register, or draft the plan without this wish.",
                )
            continue
        yield Fixed(site=site, kind=kind, item=item, at_least=rule.at_least, at_most=rule.at_most)


def _moves(case: Case, units: tuple[IdleUnit, ...]) -> tuple[tuple[Move, ...], tuple[LeftOut, ...]]:
    """What may be moved, units of one kind and way together; and what is idle no more."""
    if not units:
        return (), ()
    working = {(entry.site, entry.model): entry.working for entry in case.stock}
    sites = [site.code for site in case.sites]
    held = EquipmentItem.objects.filter(code__in=[unit.item for unit in units])
    rows = {row[0]: row[1:] for row in held.values_list(
        "code", "facility__code", "device_model__code", "condition"
    )}  # fmt: skip
    counts: Counter[tuple[str, str, str]] = Counter()
    cost: dict[tuple[str, str, str], float] = {}
    gone = []
    for unit in units:
        site, model, condition = rows.get(unit.item, ("", "", ""))
        model = own if working.get((site, own := own_code(model, unit.item))) else model
        if condition != Condition.IDLE or not working.get((site, model)):
            gone.append(LeftOut(site or unit.item, GONE.format(item=unit.item)))
            continue
        for to in [unit.to] if unit.to else sites:
            lacks = not working.get((to, model))
            if to in sites and to != site and (unit.to or lacks):
                counts[site, to, model] += 1
                cost[site, to, model] = max(cost.get((site, to, model), 0.0), unit.cost)
    moves = (
        Move.model_validate(
            {"from": way[0], "to": way[1], "model": way[2], "units": units, "cost": cost[way]}
        )
        for way, units in sorted(counts.items())
    )
    return tuple(moves), tuple(gone)
