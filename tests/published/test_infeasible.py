"""Where no plan exists, the limits named as reasons against the plain statement.

The statement says which single limit would do if it were gone, how much of it is needed,
and, where no single one would do, that the ones named together do.
"""

from planner.engine.allocation import plan
from planner.engine.allocation.verify import verify
from planner.engine.case import Case, Relaxation
from tests.factories import cases
from tests.independent import statement
from tests.independent.judged import changed
from tests.independent.random_cases import crowded_case, random_case

SLACK = 0.05
"""Of the change: more than the search for the least change (1 %) and rounding leave open."""

ENDLESS = 1e7


def infeasible_cases() -> list[Case]:
    drawn = [random_case(seed) for seed in range(120)] + [crowded_case(s) for s in range(60)]
    return [case for case in drawn if not exists(case)]


def exists(case: Case) -> bool:
    return statement.optimum(case) >= 0


def relaxed(case: Case, given: dict[str, float]) -> Case:
    """``case`` with other limits, by their names in a result's reasons."""

    def change(document):
        for name, value in given.items():
            kind, code, *_ = name.split(".")
            if kind == "limits":
                document["limits"][code] = value
            else:
                [area] = [area for area in document["areas"] if area["code"] == code]
                area["floor"] = value

    return changed(case, change)


def gone(case: Case) -> dict[str, float]:
    """Every limit that could give, with the value at which it does not count."""
    names = ["limits.capital", "limits.recurrent", "limits.trainer_days"]
    floors = {f"areas.{area.code}.floor": 0.0 for area in case.areas}
    return dict.fromkeys(names, ENDLESS) | floors


def short_of(reason: Relaxation) -> float:
    return reason.needed - SLACK * (reason.needed - reason.stated)


def test_there_are_infeasible_cases_of_both_kinds():
    kinds = [
        any(exists(relaxed(case, {name: value})) for name, value in gone(case).items())
        for case in infeasible_cases()
    ]

    assert (kinds.count(True) >= 20, kinds.count(False) >= 1) == (True, True)


def test_the_reasons_name_every_limit_that_would_do_alone_and_what_it_needs():
    for case in infeasible_cases():
        alone = {n for n, value in gone(case).items() if exists(relaxed(case, {n: value}))}
        if not alone:
            continue

        answer = plan(case)

        assert verify(case, answer) == []
        assert {reason.limit for reason in answer.reasons} == alone
        for reason in answer.reasons:
            assert exists(relaxed(case, {reason.limit: reason.needed})), reason
            assert not exists(relaxed(case, {reason.limit: short_of(reason)})), reason


def test_where_no_limit_would_do_alone_those_named_do_together_and_none_is_idle():
    for case in infeasible_cases():
        if any(exists(relaxed(case, {n: value})) for n, value in gone(case).items()):
            continue

        answer = plan(case)

        assert verify(case, answer) == []
        together = {reason.limit: reason.needed for reason in answer.reasons}
        assert exists(relaxed(case, together))
        for name in together:
            others = {other: gone(case)[other] for other in together if other != name}
            assert not exists(relaxed(case, others)), name


def test_the_shortfall_is_told_to_the_cent():
    # Nothing can be tested without the unit, at 130.25; half of it must be.
    case = cases.case(
        areas=[cases.area(floor=0.5)],
        device_models=[cases.device_model("reader", cases.serves("reader"), price=130.25)],
        tests=[cases.lab_test("malaria")],
        methods=[cases.method("read", "malaria", cases.need("reader"))],
        sites=[cases.site(demand={"malaria": 80})],
        limits=cases.limits(capital=100),
    )

    answer = plan(case)

    assert {(reason.limit, reason.stated, reason.needed) for reason in answer.reasons} == {
        ("limits.capital", 100, 130.25),
        ("areas.district.floor", 0.5, 0),
    }
