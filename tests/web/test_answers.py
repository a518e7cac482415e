from types import SimpleNamespace

import pytest

from apps.web.answers import answer, coverage_answer, nearness

NBSP = "\N{NO-BREAK SPACE}"


def run(state="done", status="optimal", gap=0.0008):
    shares = {"before": {"tests_met_share": 0.412}, "after": {"tests_met_share": 0.6349}}
    return SimpleNamespace(state=state, status=status, gap=gap, summary={"coverage": shares})


@pytest.mark.parametrize(
    ("status", "gap", "words"),
    [
        ("optimal", 0.0, "Proven: within these limits no plan is better."),
        ("optimal", 0.00004, "Proven: within these limits no plan is better."),
        ("optimal", 0.00006, f"Within less than 0.01{NBSP}% of the best possible, proven."),
        ("optimal", 0.0008, f"Within 0.08{NBSP}% of the best possible, proven."),
        ("feasible", 0.023, "The best found in the time allowed; no plan can be better by more"
         f" than 2.3{NBSP}%."),
        ("infeasible", None, "No plan meets all of these limits."),
    ],
)  # fmt: skip
def test_how_near_a_plan_is_to_the_best_is_said_in_words(status, gap, words):
    assert nearness(status, gap) == words


def test_a_done_run_answers_with_what_it_changes_and_how_near_it_is():
    assert answer(run()) == (
        f"It raises the tests done from 41.2{NBSP}% to 63.5{NBSP}% of what people need in a year."
        f" Within 0.08{NBSP}% of the best possible, proven."
    )


def test_an_infeasible_run_does_not_speak_of_coverage():
    assert answer(run(status="infeasible", gap=None)) == "No plan meets all of these limits."


@pytest.mark.parametrize("state", ["queued", "running", "failed", "cancelled", "interrupted"])
def test_every_other_state_says_something_of_its_own(state):
    others = {answer(run(state=other)) for other in ("done", "queued", "failed")} - {
        answer(run(state=state, status=""))
    }

    assert answer(run(state=state, status="")) not in others


def test_a_plan_without_a_run_says_that_nothing_was_computed():
    assert answer(None) == "Not computed yet."


def test_shares_of_a_grid_leave_out_what_is_not_expected():
    counts = {"runs": 2, "referred": 1, "blocked": 4, "unknown": 1, "not_expected": 100}

    assert coverage_answer(counts) == (
        f"Of the tests that these sites should offer, 25{NBSP}% can be run on site and"
        f" 13{NBSP}% by referral; 50{NBSP}% cannot, and of 13{NBSP}% nobody knows."
    )


def test_a_grid_of_which_nothing_is_expected_divides_by_nothing():
    assert coverage_answer({"not_expected": 4}) == ("No test is expected of any of these sites.")
