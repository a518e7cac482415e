"""Two versions of the planning case: what the older one says is said in the newer one too."""

import json

import pytest
from pydantic import ValidationError

from planner.engine.case import Case
from tests.factories.documents import EXAMPLE, EXAMPLE_2, part_at
from tests.factories.refusals import problems
from tests.factories.versions import NEUTRAL, NEUTRAL_LIMITS, NEUTRAL_LISTS

LATER_KEYS = [
    *(((name, 0), key) for name, keys in NEUTRAL.items() for key in keys),
    *((("limits",), key) for key in NEUTRAL_LIMITS),
    *(((), key) for key in NEUTRAL_LISTS),
]


def changed(document, steps, value):
    copied = json.loads(json.dumps(document))
    part_at(copied, steps[:-1])[steps[-1]] = value
    return copied


def test_a_case_of_version_1_has_the_keys_of_version_2_with_values_that_mean_nothing():
    older, newer = Case.read(json.dumps(EXAMPLE)), Case.read(json.dumps(EXAMPLE_2))

    assert older.model_copy(update={"version": 2}) == newer


def test_a_case_is_written_in_the_version_in_which_it_was_read():
    assert Case.read(json.dumps(EXAMPLE)).to_json() == EXAMPLE
    assert Case.read(json.dumps(EXAMPLE_2)).to_json() == EXAMPLE_2


@pytest.mark.parametrize(("owner", "key"), LATER_KEYS)
def test_in_version_2_every_key_must_be_there(owner, key):
    document = json.loads(json.dumps(EXAMPLE_2))
    del part_at(document, owner)[key]

    [line] = problems(document)

    assert f"{key}: this key is missing; expected " in line


@pytest.mark.parametrize(("owner", "key"), LATER_KEYS)
def test_in_version_1_a_key_of_version_2_is_unknown(owner, key):
    document = changed(EXAMPLE, (*owner, key), part_at(EXAMPLE_2, (*owner, key)))

    [line] = problems(document)

    assert line.endswith(f"{key}: unknown key; it came with version 2")


def asking(**given):
    entry = {"site": "ashbrook", "kind": "train", "item": "spinning"}
    return changed(EXAMPLE_2, ("fixed",), [entry | {"at_least": 0, "at_most": 1} | given])


@pytest.mark.parametrize(
    ("document", "lines"),
    [
        (asking(), []),
        (asking(site="nowhere"),
         ['fixed[0].site: there is no entry with code "nowhere" in sites']),
        (asking(kind="buy"),
         ['fixed[0].item: there is no entry with code "spinning" in device_models']),
        (asking(kind="provide"),
         ['fixed[0].item: there is no entry with code "spinning" in infrastructure']),
        (asking(kind="sell"),
         ['fixed[0].kind: expected one of "buy", "repair", "train", "provide", found "sell"']),
        (asking(at_least=2), ["fixed[0]: at_least 2 is more than at_most 1"]),
        (asking(at_least=2, at_most=None), []),
    ],
)  # fmt: skip
def test_what_is_asked_names_codes_that_exist_and_quantities_in_order(document, lines):
    assert (problems(document) if lines else Case.read(json.dumps(document)) and []) == lines


def test_a_case_built_as_version_1_cannot_ask_what_only_version_2_can_say():
    asked = Case.read(json.dumps(asking()))
    values = {name: getattr(asked, name) for name in Case.model_fields}

    with pytest.raises(ValidationError, match="version 2, for the sake of fixed"):
        Case(**{**values, "version": 1})
