"""Sharing out what several may use: Hall's condition, and who pays for what."""

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import linprog

from planner.engine.allocation.funds import drawn, fund_rows
from planner.engine.allocation.hall import overlapping_unions
from planner.engine.allocation.instance import Instance, instance_of
from tests.factories.cases import case, device_model, limits, programme, serves

CODES = ("fever", "heart", "mother")


def groups(*members: str) -> frozenset[frozenset[int]]:
    return frozenset(frozenset(map(int, each)) for each in members)


def unions(*members: str, most: int = 99) -> list[str] | None:
    found = overlapping_unions(groups(*members), most)
    return None if found is None else ["".join(map(str, sorted(union))) for union in found]


def test_a_chain_has_no_union_but_its_members():
    assert unions("1", "12", "123") == ["1", "12", "123"]


def test_groups_that_do_not_overlap_are_not_united():
    assert unions("12", "34") == ["12", "34"]


def test_groups_that_hang_together_over_a_third_are_united():
    assert unions("12", "23", "34") == ["12", "23", "34", "123", "234", "1234"]


def test_more_unions_than_allowed_are_not_listed():
    assert unions("12", "23", "34", most=6) is not None
    assert unions("12", "23", "34", most=5) is None


def funded(tags: list[tuple[str, ...]], capital: float, earmarks: list[float]) -> Instance:
    """Models that differ only in their tags, in the order of their codes."""
    return instance_of(
        case(
            programmes=[programme(), *map(programme, CODES)],
            device_models=[
                device_model(f"d{number}", serves("class"), programmes=tag)
                for number, tag in enumerate(tags)
            ],
            limits=limits(capital=capital, earmarks=dict(zip(CODES, earmarks, strict=True))),
        )
    )


def spending(instance: Instance, costs: list[float]) -> np.ndarray:
    """Money by action, if each model is bought for its cost."""
    spent = np.zeros(len(instance.catalogue.actions))
    spent[: len(costs)] = costs
    return spent


def payable_by_linear_program(tags, capital, earmarks, costs) -> bool:
    """Whether the funds can pay: SciPy's HiGHS on the transportation problem itself."""
    pairs = [
        (item, fund)
        for item, tag in enumerate(tags)
        for fund in range(4)
        if fund == 3 or CODES[fund] in tag
    ]
    paid = [[float(item == i) for item, _ in pairs] for i in range(len(tags))]
    drawn_on = [[float(fund == f) for _, fund in pairs] for f in range(4)]
    answer = linprog(
        np.zeros(len(pairs)), A_eq=paid, b_eq=costs, A_ub=drawn_on, b_ub=[*earmarks, capital]
    )
    return answer.status == 0


@pytest.mark.parametrize("seed", range(60))
def test_the_rows_for_money_allow_exactly_what_the_funds_can_pay(seed):
    draw = random.Random(seed)
    subsets = [tag for size in range(4) for tag in itertools.combinations(CODES, size)]
    tags = draw.choices(subsets, k=4)
    capital, earmarks = draw.randint(0, 40), [draw.randint(1, 40) for _ in CODES]
    costs = [draw.randint(0, 40) for _ in tags]

    instance = funded(tags, capital, earmarks)
    spent = spending(instance, costs)
    keeps_rows = all(spent[row.actions].sum() <= row.money for row in fund_rows(instance))

    assert keeps_rows == payable_by_linear_program(tags, capital, earmarks, costs)


@pytest.mark.parametrize("seed", range(40))
def test_money_that_can_be_paid_is_paid_within_each_fund_and_as_little_as_can_be_from_capital(seed):
    draw = random.Random(seed)
    subsets = [tag for size in range(4) for tag in itertools.combinations(CODES, size)]
    tags = draw.choices(subsets, k=5)
    earmarks = [draw.randint(1, 40) for _ in CODES]
    costs = [draw.randint(0, 40) for _ in tags]
    instance = funded(tags, 1000, earmarks)

    paid = drawn(instance, spending(instance, costs))

    assert (paid.earmarks <= np.array(earmarks) + 1e-9).all()
    assert paid.capital + paid.earmarks.sum() == pytest.approx(sum(costs))
    assert payable_by_linear_program(tags, paid.capital + 1e-6, paid.earmarks + 1e-6, costs)
    if paid.capital >= 1:
        assert not payable_by_linear_program(tags, paid.capital - 1, earmarks, costs)


def test_a_fund_takes_over_from_another_that_can_pay_elsewhere():
    """Fever first pays the first device; heart can pay only that one, so fever moves on."""
    instance = funded([("fever", "heart"), ("fever",)], 0, [50, 50, 1])

    paid = drawn(instance, spending(instance, [50, 50]))

    assert (paid.capital, paid.earmarks.tolist()) == (0, [50, 50, 0])
