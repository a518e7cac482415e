from types import SimpleNamespace

from apps.web.sheets import Action, Lack, Remedy, site_sheet

BUY = {"kind": "buy", "item": "micro-led", "name": "LED microscope", "cost": 900.0}
TRAIN = {"kind": "train", "item": "microscopy", "name": "Microscopy", "cost": 150.0}


def finding(name, state, *, fix=(), methods=(), method_code="", questions=()):
    return SimpleNamespace(
        test=SimpleNamespace(code=name.lower(), name=name),
        state=state,
        method_code=method_code,
        fix_cost=sum(action["cost"] for action in fix) or None,
        detail={"fix": list(fix), "methods": list(methods), "questions": list(questions)},
    )


def test_findings_stand_under_their_state_by_the_name_of_the_test():
    sheet = site_sheet([finding("Urea", "runs"), finding("Malaria", "runs")])

    assert [verdict.finding.test.name for verdict in sheet.verdicts["runs"]] == ["Malaria", "Urea"]
    assert {state: len(found) for state, found in sheet.verdicts.items()} == {
        "runs": 2, "referred": 0, "blocked": 0, "unknown": 0, "not_expected": 0,
    }  # fmt: skip


def test_what_is_not_expected_does_not_count_among_the_expected():
    sheet = site_sheet(
        [finding("A", "runs"), finding("B", "unknown"), finding("C", "not_expected")]
    )

    assert (sheet.can, sheet.expected) == (1, 2)


def test_only_blocked_tests_with_a_fix_count_as_fixable():
    sheet = site_sheet(
        [
            finding("A", "blocked", fix=[BUY]),
            finding("B", "blocked"),
            finding("C", "unknown", fix=[BUY]),
        ]
    )

    assert sheet.fixable == 1


def test_each_action_stands_once_with_the_tests_it_helps_alone_and_with_others():
    sheet = site_sheet(
        [
            finding("Filaria", "blocked", fix=[BUY]),
            finding("Malaria", "blocked", fix=[BUY, TRAIN]),
        ]
    )

    assert sheet.remedies == [
        Remedy(Action(**BUY), alone=["Filaria"], together=["Malaria"]),
        Remedy(Action(**TRAIN), alone=[], together=["Malaria"]),
    ]


def test_of_actions_that_help_as_many_tests_the_cheaper_comes_first():
    sheet = site_sheet([finding("Malaria", "blocked", fix=[BUY, TRAIN])])

    assert [remedy.action.item for remedy in sheet.remedies] == ["microscopy", "micro-led"]


def test_methods_that_lack_something_say_what_in_words():
    methods = [
        {"code": "rdt", "name": "Rapid test", "runs": True, "missing": []},
        {
            "code": "film",
            "name": "Blood film",
            "runs": False,
            "missing": [{"kind": "need", "what": "microscope", "reason": "no working microscope"}],
        },
    ]

    verdict = site_sheet([finding("Malaria", "runs", methods=methods, method_code="rdt")]).verdicts[
        "runs"
    ][0]

    assert verdict.method == "Rapid test"
    assert verdict.lacks == (Lack("Blood film", ("no working microscope",)),)


def test_an_action_is_written_as_what_is_done_and_to_what():
    assert Action(**BUY).words == "Buy: LED microscope"
