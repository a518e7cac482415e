"""What a list of the catalogue needs is loaded with it: as many queries for three as for one."""

import pytest

from apps.catalogue import selectors
from tests.factories.catalogue import (
    make_device_class,
    make_device_model,
    make_infrastructure,
    make_method,
    make_need,
    make_programme,
    make_skill,
    make_test,
)


def make_entries(count: int) -> None:
    for number in range(count):
        skill = make_skill(f"skill-{number}")
        item = make_infrastructure(f"item-{number}", cost={1: 5})
        device_class = make_device_class(f"class-{number}", rcf_g="number")
        model = make_device_model(f"model-{number}", device_class, specs={"rcf_g": 2000})
        model.programmes.add(make_programme())
        test = make_test(f"test-{number}")
        method = make_method(f"method-{number}", test, skills=(skill,), infrastructure=(item,))
        make_need(method, device_class, rcf_g=("min", 1000))


def read_method(method) -> tuple:
    return (
        method.test.name,
        method.source.title,
        method.sensitivity_source.title,
        [skill.name for skill in method.skills.all()],
        [item.name for item in method.infrastructure.all()],
        [
            (need.device_class.name, each.attribute.device_class.code, each.source.title)
            for need in method.needs.all()
            for each in need.requirements.all()
        ],
    )


def read_model(model) -> tuple:
    return (
        model.source.title,
        [programme.name for programme in model.programmes.all()],
        [served.device_class.name for served in model.served_classes.all()],
        [
            (each.attribute.device_class.code, each.attribute.name, each.value, each.source.title)
            for each in model.specifications.all()
        ],
    )


READERS = {
    "programmes": (1, lambda row: row.name),
    "tests": (1, lambda row: (row.programme.name, row.source.title)),
    "methods": (5, read_method),
    "device_models": (4, read_model),
    "skills": (1, lambda row: row.source.title),
    "infrastructure": (2, lambda row: [cost.cost for cost in row.costs.all()]),
}


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize("name", READERS)
def test_a_list_is_read_whole_in_the_same_number_of_queries(
    db, django_assert_num_queries, name, count
):
    make_entries(count)
    queries, read = READERS[name]

    with django_assert_num_queries(queries):
        rows = [read(row) for row in getattr(selectors, name)()]

    assert len(rows) == (1 if name == "programmes" else count)
    assert all(rows)
