"""The judge accepts true results and names the rule that a false one breaks."""

import ast
import copy
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.engine.allocation.verify import RULES, Violation, verify
from planner.engine.case import Case, Result
from tests.factories.results import action, three_sites, three_sites_result, volume

Document = dict[str, Any]
CASE = three_sites()


def judged(document: Document, case: Case = CASE) -> list[Violation]:
    return verify(case, Result.model_validate_json(json.dumps(document)))


def rules(violations: list[Violation]) -> list[str]:
    return [violation.rule for violation in violations]


def put(*path: str | int, to: Any) -> Callable[[Document], None]:
    """Sets one value of a result: ``put("money", "capital", to=5)``."""

    def change(document: Document) -> None:
        *steps, last = path
        for step in steps:
            document = document[step]
        document[last] = to

    return change


def drop(name: str, index: int) -> Callable[[Document], None]:
    return lambda document: document[name].pop(index)


def add(name: str, entry: Document) -> Callable[[Document], None]:
    return lambda document: document[name].append(entry)


def test_the_example_s_optimum_written_out_by_hand_breaks_no_rule():
    assert judged(three_sites_result()) == []


TAMPERINGS = {
    "the hash of another case": (put("case_sha256", to="0" * 64), ["case-hash"]),
    "a status without a plan": (put("status", to="infeasible"), ["status", "status", "reasons"]),
    "an objective that is not a number": (put("objective", to=None), ["status"]),
    "a bound that is not a number": (put("bound", to=None), ["status"]),
    "a reason beside a plan": (
        put("reasons", to=[{"limit": "capital", "stated": 1500, "needed": 1600, "text": "more"}]),
        ["reasons"],
    ),
    "an action at a site that does not exist": (
        add("actions", action("nowhere", "train", "spinning", cost=80.0)),
        ["unknown-code"],
    ),
    "an action with an item of another kind": (
        add("actions", action("ashbrook", "train", "power", cost=1400.0)),
        ["unknown-code"],
    ),
    "a volume by a method that does not exist": (
        add("volumes", volume("ashbrook", "ashbrook", "guess", 1.0)),
        ["unknown-code"],
    ),
    "an action listed twice": (
        add("actions", action("millford", "buy", "crank", cost=160.0)),
        ["duplicate", "capital", "payment", "recurrent-stated"],
    ),
    "a volume listed twice": (
        add("volumes", volume("thornley", "thornley", "afb-direct", 60.0)),
        ["duplicate", "demand", "recurrent-stated", "objective"],
    ),
    "three units where two may be bought": (
        put("actions", 0, to=action("ashbrook", "buy", "spin-hand", quantity=3, cost=135.0)),
        ["quantity", "payment", "recurrent-stated"],
    ),
    "two repairs where one unit is broken": (
        put("actions", 2, to=action("millford", "repair", "micro-led", quantity=2, cost=240.0)),
        ["quantity", "payment", "recurrent-stated"],
    ),
    "a skill trained twice over": (
        put("actions", 4, to=action("millford", "train", "spinning", quantity=2, cost=160.0)),
        ["quantity", "payment"],
    ),
    "a skill that is there already": (
        add("actions", action("millford", "train", "microscopy", cost=450.0)),
        ["already-there", "capital", "payment", "recurrent-stated", "trainer-days"],
    ),
    "infrastructure that is there already": (
        add("actions", action("millford", "provide", "power", cost=900.0)),
        ["already-there", "capital", "payment"],
    ),
    "a model that is not proven": (
        add("actions", action("ashbrook", "buy", "micro-fold", cost=12.0)),
        ["evidence", "payment", "recurrent-stated"],
    ),
    "a cost with a discount": (put("actions", 5, "cost", to=700.0), ["cost"]),
    "a repair left out": (
        drop("actions", 2),
        ["device", "device", "device", "payment", "recurrent-stated"],
    ),
    "a volume of next to nothing": (
        add("volumes", volume("ashbrook", "ashbrook", "hb-photometer", 1e-7)),
        ["volume-size", "device"],
    ),
    "more tests than are asked for": (
        put("volumes", 3, "per_year", to=701.0),
        ["demand", "recurrent-stated", "objective"],
    ),
    "a specimen sent where no link goes": (
        put("volumes", 0, "at", to="thornley"),
        ["route", "recurrent-stated"],
    ),
    "a specimen sent that may not travel": (
        put("volumes", 0, to=volume("ashbrook", "millford", "pcv-electric", 900.0)),
        ["route", "recurrent-stated", "objective"],
    ),
    "a specimen sent further than it keeps": (
        put("volumes", 5, "at", to="millford"),
        ["route", "recurrent-stated"],
    ),
    "a purchase left out": (drop("actions", 0), ["device", "payment", "recurrent-stated"]),
    "a training left out": (
        drop("actions", 1),
        ["skill", "payment", "recurrent-stated"],
    ),
    "a method that needs power where there is none": (
        put("volumes", 2, "method", to="pcv-electric"),
        ["device", "infrastructure", "objective"],
    ),
    "more money drawn from capital than the actions cost": (
        put("money", "capital", to=1361.0),
        ["payment"],
    ),
    "more of the earmark drawn than there is": (
        put("money", to={"capital": 1260.0, "recurrent": 1924.0, "earmarks": {"malaria": 500.0}}),
        ["payment"],
    ),
    "money drawn from an earmark that does not exist": (
        put("money", "earmarks", to={"malaria": 300.0, "general": 100.0}),
        ["payment", "payment"],
    ),
    "less running cost than there is": (put("money", "recurrent", to=1900.0), ["recurrent-stated"]),
    "a higher objective": (put("objective", to=10600.0), ["objective", "bound", "gap"]),
    "a bound below the objective": (put("bound", to=10000.0), ["bound", "gap"]),
    "a smaller gap": (put("bound", to=10600.0), ["gap"]),
    "a gap rounded to nothing": (put("gap", to=1e-6), ["gap"]),
    "a past that was better than it was": (put("objective_before", to=500.0), ["objective-before"]),
}


@pytest.mark.parametrize(("change", "expected"), TAMPERINGS.values(), ids=TAMPERINGS)
def test_a_result_changed_in_one_place_is_refused_under_the_rules_it_breaks(change, expected):
    document = copy.deepcopy(three_sites_result())

    change(document)

    assert rules(judged(document)) == expected


TEXTS = {
    "unknown item": (
        add("actions", action("ashbrook", "train", "power", cost=1400.0)),
        "train power at ashbrook: there is no skill with code 'power'.",
    ),
    "unknown site": (
        add("volumes", volume("ashbrook", "nowhere", "pcv-hand", 1.0)),
        "pcv-hand for ashbrook at nowhere: there is no site with code 'nowhere'.",
    ),
    "cost": (
        put("actions", 0, to=action("ashbrook", "buy", "spin-hand", quantity=2, cost=80.0)),
        "buy spin-hand at ashbrook: the cost is stated as 80, 2 × 45 = 90.",
    ),
    "quantity": (
        put("actions", 2, "quantity", to=2),
        "repair micro-led at millford: 2 is more than 1, the broken units there.",
    ),
    "evidence": (
        add("actions", action("ashbrook", "buy", "micro-fold", cost=12.0)),
        "buy micro-fold at ashbrook: the model is graded D, the case accepts B and better.",
    ),
    "no link": (
        put("volumes", 0, "at", to="thornley"),
        "pcv-hand for ashbrook at thornley: there is no link between the two.",
    ),
    "specimen that may not travel": (
        put("volumes", 0, to=volume("ashbrook", "millford", "pcv-electric", 900.0)),
        "pcv-electric for ashbrook at millford: a specimen for anaemia may not travel.",
    ),
    "specimen that does not keep": (
        put("volumes", 5, "at", to="millford"),
        "malaria-smear for thornley at millford: the link takes 26 h, the specimen keeps 8 h.",
    ),
    "demand": (
        put("volumes", 4, "per_year", to=1600.0),
        "millford gets 1 600 of malaria a year and asks for 1 500.",
    ),
    "device": (
        drop("actions", 3),
        "urine-sediment at millford: the site lacks a working unit that suits the need of a "
        "centrifuge.",
    ),
    "capital": (
        add("actions", action("millford", "provide", "power", cost=900.0)),
        "Actions that only the capital and the earmark malaria may pay cost 2 660; that is more "
        "than the 1 900 there.",
    ),
    "payment": (
        put("money", "capital", to=1361.0),
        "1 761 is drawn from all funds, the actions cost 1 760.",
    ),
    "running cost": (
        put("money", "recurrent", to=1900.0),
        "The running cost is stated as 1 900 a year, it is 1 924.",
    ),
    "objective": (
        put("objective", to=10500.0),
        "The objective is stated as 10 500, the volumes are worth 10 525.",
    ),
    "gap": (
        put("bound", to=10630.25),
        "The gap is stated as 0, from bound and objective it is 0.01.",
    ),
    "past": (
        put("objective_before", to=500.0),
        "objective_before is stated as 500; the district can do at least 0 and at most 0 today.",
    ),
}


@pytest.mark.parametrize(("change", "expected"), TEXTS.values(), ids=TEXTS)
def test_what_is_wrong_is_said_with_its_place_and_figures(change, expected):
    document = three_sites_result()

    change(document)

    assert expected in [violation.text for violation in judged(document)]


def test_nothing_but_the_one_thing_that_is_wrong_is_reported():
    document = three_sites_result()
    document["volumes"][4]["per_year"] = 1600.0
    document["money"]["recurrent"] = 1944.0
    document["objective"] = document["bound"] = 10705.0

    assert judged(document) == [
        Violation("demand", "millford gets 1 600 of malaria a year and asks for 1 500.")
    ]


def test_each_rule_is_shown_to_be_enforced():
    tampered = {rule for _, expected in TAMPERINGS.values() for rule in expected}
    in_test_verify_limits = {
        "not-providable",
        "recurrent",
        "staff-hours",
        "machine-hours",
        "floor",
    }
    in_test_questions = {"fixed", "repair", "bundle", "move", "models-per-class"}
    in_test_aims = {"stages", "minimum-sets", "targets", "groups"}

    assert tampered | in_test_verify_limits | in_test_questions | in_test_aims == set(RULES)


def test_the_judge_imports_nothing_but_the_case_and_arrays():
    folder = Path(verify.__code__.co_filename).parent
    allowed = {
        "planner.engine.answering",
        "planner.engine.asking",
        "planner.engine.case",
        "planner.engine.conditions",
        "numpy",
        "numpy.typing",
    }

    imported = {
        name.module if isinstance(name, ast.ImportFrom) else name.names[0].name
        for path in folder.glob("*.py")
        for name in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(name, ast.Import | ast.ImportFrom)
    }
    foreign = {
        module
        for module in imported - allowed
        if not module.startswith("planner.engine.allocation.verify")
        and module.partition(".")[0] not in sys.stdlib_module_names
    }

    assert foreign == set()
