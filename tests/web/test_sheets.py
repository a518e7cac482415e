from types import SimpleNamespace

from apps.web.sheets import Action, Lack, site_sheet

BUY = {"kind": "buy", "item": "micro-led", "name": "LED microscope", "cost": 900.0}
TRAIN = {"kind": "train", "item": "microscopy", "name": "Microscopy", "cost": 150.0}


def finding(name, state, *, fix=(), methods=(), method_code="", questions=(), to=None):
    return SimpleNamespace(
        test=SimpleNamespace(code=name.lower(), name=name),
        state=state,
        method_code=method_code,
        referred_to=to,
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


def actions(package):
    return [action.item for action in package.actions]


def names(group):
    return [verdict.finding.test.name for verdict in group.tests]


def test_tests_with_the_same_fix_stand_together_with_its_cost_once():
    sheet = site_sheet(
        [
            finding("Malaria", "blocked", fix=[BUY, TRAIN]),
            finding("Filaria", "blocked", fix=[BUY, TRAIN]),
        ]
    )

    [package] = sheet.packages
    assert (names(package), actions(package)) == (
        ["Filaria", "Malaria"],
        ["micro-led", "microscopy"],
    )
    assert package.cost == 1050


def test_packages_come_by_their_number_of_tests_then_by_cost_and_without_a_fix_last():
    sheet = site_sheet(
        [
            finding("A", "blocked"),
            finding("B", "blocked"),
            finding("C", "blocked"),
            finding("D", "blocked", fix=[BUY]),
            finding("E", "blocked", fix=[TRAIN]),
            finding("F", "blocked", fix=[BUY, TRAIN]),
            finding("G", "blocked", fix=[BUY, TRAIN]),
        ]
    )

    assert [names(package) for package in sheet.packages] == [
        ["F", "G"], ["E"], ["D"], ["A", "B", "C"],
    ]  # fmt: skip


def test_only_blocked_tests_are_packed():
    sheet = site_sheet([finding("A", "unknown", fix=[BUY]), finding("B", "referred", fix=[BUY])])

    assert sheet.packages == []


def method(name, *reasons):
    missing = [{"kind": "need", "what": reason, "reason": reason} for reason in reasons]
    return {"code": name, "name": name, "runs": False, "missing": missing}


def test_a_package_gives_the_reasons_of_the_method_that_lacks_least_each_once():
    sheet = site_sheet(
        [
            finding("A", "blocked", methods=[method("x", "power", "bench"), method("y", "power")]),
            finding("B", "blocked", methods=[method("z", "water", "power")]),
        ]
    )

    assert sheet.packages[0].reasons == ["power", "water"]


def test_a_test_without_a_method_gives_no_reasons():
    assert site_sheet([finding("A", "blocked")]).packages[0].reasons == []


def test_sites_that_specimens_go_to_stand_once_those_with_most_tests_first():
    sheet = site_sheet(
        [
            finding("A", "referred", to="hill"),
            finding("B", "referred", to="ford"),
            finding("C", "referred", to="ford"),
        ]
    )

    assert [(referral.site, names(referral)) for referral in sheet.referrals] == [
        ("ford", ["B", "C"]),
        ("hill", ["A"]),
    ]


def test_each_question_stands_once_with_the_tests_it_settles_the_widest_first():
    sheet = site_sheet(
        [
            finding("A", "unknown", questions=["Is there water?"]),
            finding("B", "unknown", questions=["Is there water?", "Who is trained?"]),
        ]
    )

    assert [(question.text, names(question)) for question in sheet.questions] == [
        ("Is there water?", ["A", "B"]),
        ("Who is trained?", ["B"]),
    ]


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
