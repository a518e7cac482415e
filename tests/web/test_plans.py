import json
from decimal import Decimal

import pytest

from apps.inventory.models import EquipmentItem
from apps.plans.models import Plan
from tests.api.register import make_facility, make_plan
from tests.web.scene import make_document, make_line, make_run, summary

LIST_QUERIES = 6
DETAIL_QUERIES = 11

ANSWERS = {
    "title": "Next year",
    "capital": "25,000",
    "recurrent": "",
    "trainer_days": "12.5",
    "max_units": "2",
    "minimum_evidence": "B",
    "gap": "0.1",
    "time_limit_s": "60",
    "earmark-maternal": "1 500.50",
    "floor-upper": "30",
}


@pytest.fixture
def plan(register, officer) -> Plan:
    return make_plan(register.north, officer)


@pytest.fixture
def read(pages, plan):
    def page() -> str:
        return " ".join(pages.get(f"/plans/{plan.pk}/").content.decode().split())

    return page


def test_an_empty_list_says_what_a_plan_is_and_leads_to_the_draft(pages):
    page = pages.get("/plans/").content.decode()

    assert "No plan has been drafted yet." in page
    assert '<a href="/plans/draft/">Draft the first plan</a>' in page


def test_the_list_shows_each_plan_with_its_answer(pages, plan, officer):
    make_run(plan, officer)

    page = pages.get("/plans/").content.decode().replace("\N{NO-BREAK SPACE}", " ")

    assert "It raises the tests done from 50.0 % to 100.0 % of what people need" in page
    assert "USD 3,000" in page


@pytest.mark.parametrize("plans", [1, 3])
def test_the_list_takes_as_many_queries_for_three_plans_as_for_one(
    pages, register, officer, django_assert_num_queries, plans
):
    for _ in range(plans):
        make_run(make_plan(register.north, officer), officer)

    with django_assert_num_queries(LIST_QUERIES):
        pages.get("/plans/")


def test_good_answers_make_a_plan_and_lead_to_its_page(pages, register, officer):
    answer = pages.post("/plans/draft/", ANSWERS)

    plan = Plan.objects.get()
    assert answer.url == f"/plans/{plan.pk}/"
    assert (plan.title, plan.area, plan.made_by) == ("Next year", register.north, officer)
    assert (plan.capital, plan.recurrent, plan.trainer_days) == (Decimal(25000), None, 12.5)
    assert (plan.max_units, plan.minimum_evidence) == (2, "B")
    assert (plan.gap, plan.time_limit_s) == (0.001, 60)
    assert [(e.programme.code, e.amount) for e in plan.earmarks.all()] == [
        ("maternal", Decimal("1500.5"))
    ]
    assert [(floor.area.code, floor.share) for floor in plan.floors.all()] == [("upper", 0.3)]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"title": ""}, "Give the plan a name."),
        ({"capital": ""}, "Write a number."),
        ({"capital": "1.000,50"}, "“1.000,50” is not a number this form can read."),
        ({"capital": "-1"}, "“-1” is not a number this form can read."),
        ({"recurrent": "lots"}, "“lots” is not a number this form can read."),
        ({"trainer_days": "1.25"}, "Write at most 1 decimals; “1.25” has more."),
        ({"max_units": "0"}, "Write at least 1; “0” is less."),
        ({"minimum_evidence": "E"}, "Select a valid choice."),
        ({"floor-upper": "101"}, "Write at most 100; “101” is more."),
        ({"earmark-maternal": "x"}, "“x” is not a number this form can read."),
        ({"time_limit_s": "3601"}, "Write at most 3,600; “3601” is more."),
    ],
)
def test_a_wrong_answer_is_named_beside_its_question_and_nothing_is_saved(pages, wrong, message):
    page = pages.post("/plans/draft/", {**ANSWERS, **wrong}).content.decode()

    assert message in page
    assert 'aria-invalid="true"' in page
    assert "One answer could not be read; it is marked below. Nothing was saved." in page
    assert not Plan.objects.exists()


def test_a_refused_form_keeps_what_was_typed(pages):
    page = pages.post("/plans/draft/", {**ANSWERS, "capital": "25.000,00"}).content.decode()

    assert 'value="25.000,00"' in page
    assert 'value="1 500.50"' in page


def test_a_similar_question_starts_from_the_answers_of_a_plan(pages, plan, register):
    plan.floors.create(area=register.upper, share=0.3)

    page = pages.get(f"/plans/draft/?like={plan.pk}").content.decode()

    assert 'name="capital" value="3000"' in page
    assert 'name="floor-upper" value="30"' in page
    assert 'name="gap" value="0.1"' in page


def test_a_plan_that_was_never_run_shows_its_question_and_the_button(read, plan):
    page = read()

    assert "Not computed yet." in page
    assert "Compute the plan" in page
    assert f'action="/plans/{plan.pk}/start/"' in page


@pytest.mark.parametrize("state", ["queued", "running"])
def test_an_unfinished_run_is_followed_with_or_without_scripts(read, plan, officer, state):
    make_run(plan, officer, state)

    page = read()

    assert '<p class="unseen" role="status" data-follow-said></p>' in page
    assert f'<div data-follow="/plans/{plan.pk}/progress/">' in page
    assert '<noscript><meta http-equiv="refresh" content="3"></noscript>' in page
    assert f'action="/plans/{plan.pk}/cancel/"' in page


def test_progress_says_the_phase_the_best_so_far_and_how_far_it_may_be_off(pages, plan, officer):
    make_run(plan, officer, "running", phase="search", objective=900, bound=1000, gap=0.1111)

    answer = pages.get(f"/plans/{plan.pk}/progress/")

    page = answer.content.decode()
    assert "<h2 data-phase>Computing: search</h2>" in page
    shown = [f"<dd>{value}</dd>" for value in ("900", "1,000", "11.2\N{NO-BREAK SPACE}%")]
    assert [value in page for value in shown] == [True] * 3
    assert (answer["X-Run-Finished"], answer["Cache-Control"]) == ("no", "no-store")
    assert "<html" not in page


@pytest.mark.parametrize("state", ["done", "failed", "cancelled", "interrupted"])
def test_progress_of_a_finished_run_says_that_no_more_is_to_come(pages, plan, officer, state):
    make_run(plan, officer, state)

    assert pages.get(f"/plans/{plan.pk}/progress/")["X-Run-Finished"] == "yes"


@pytest.mark.parametrize(
    ("state", "message", "words"),
    [
        ("failed", "The solver ran out of memory. Plan fewer sites.", "ran out of memory"),
        ("failed", "", "No reason was recorded."),
        ("cancelled", "", "Nothing of it was kept."),
        ("interrupted", "", "The worker stopped before it was done"),
    ],
)
def test_a_run_that_stopped_says_what_happened_and_offers_another(
    read, plan, officer, state, message, words
):
    make_run(plan, officer, state, message=message)

    page = read()

    assert words in page
    assert "Compute it again" in page


def test_a_result_says_the_money_the_change_and_how_near_the_best_it_is(read, plan, officer):
    make_run(plan, officer)

    page = read().replace("\N{NO-BREAK SPACE}", " ")

    assert "Within 0.08 % of the best possible, proven." in page
    assert "Of 2,000 tests that people need in a year, 1,000 can be done today and 2,000" in page


def test_chart_and_table_hold_the_same_numbers(pages, plan, officer):
    make_run(plan, officer)

    page = pages.get(f"/plans/{plan.pk}/").content.decode().replace("\N{NO-BREAK SPACE}", " ")

    figure = page.split('<script id="areas" type="application/json">')[1].split("</script>")[0]
    _, before, after = json.loads(figure)["data"]
    assert (before["y"], before["x"], after["x"]) == (["Upper block"], [0.5], [1.0])
    assert (
        '<th scope="row">Upper block</th><td class="number">50.0 %</td>'
        '<td class="number">100.0 %</td><td class="number">+50.0</td>'
    ) in page


def test_only_a_page_with_a_chart_loads_the_chart_library(pages, plan, officer):
    before = pages.get(f"/plans/{plan.pk}/").content.decode()
    make_run(plan, officer)
    after = pages.get(f"/plans/{plan.pk}/").content.decode()

    assert ["plotly-basic.min.js" in page for page in (before, after)] == [False, True]


def test_actions_stand_under_their_site_with_cost_and_reason(read, plan, officer, register):
    run = make_run(plan, officer)
    make_line(run, register.ford)
    make_line(run, register.hill, kind="train", item_name="Microscopy", cost=200)

    page = read().replace("\N{NO-BREAK SPACE}", " ")

    assert page.index('<a href="/sites/ford/">Ford</a>') < page.index(
        '<a href="/sites/hill/">Hill</a>'
    )
    assert "Enables haemoglobin: 1,000 tests a year for 8,000 people." in page
    assert "2 actions: <data" in page
    assert "USD 1,100" in page


def test_actions_narrow_by_kind_and_by_name(pages, plan, officer, register):
    run = make_run(plan, officer)
    make_line(run, register.ford)
    make_line(run, register.hill, kind="train", item_name="Microscopy", cost=200)

    def shown(query: str) -> list[bool]:
        page = pages.get(f"/plans/{plan.pk}/{query}").content.decode()
        return ["/sites/ford/" in page, "/sites/hill/" in page]

    assert shown("?kind=buy") == [True, False]
    assert shown("?text=micro") == [False, True]
    assert shown("?kind=repair") == [False, False]


def test_a_plan_that_does_nothing_says_so(read, plan, officer):
    make_run(plan, officer)

    assert "Nothing to do" in read()


def test_sites_that_were_left_out_are_named_with_the_reason(read, plan, officer):
    left = [{"facility": "ford", "why": "Its population is not known."}]
    make_run(plan, officer, summary=summary(left_out=left))

    assert "<b>ford</b>: Its population is not known." in read()


def test_an_earlier_run_says_that_it_is_not_the_latest(pages, plan, officer):
    earlier, _ = make_run(plan, officer), make_run(plan, officer)

    page = pages.get(f"/plans/{plan.pk}/runs/{earlier.pk}/").content.decode()

    assert "This is an earlier run" in page
    assert "This is an earlier run" not in pages.get(f"/plans/{plan.pk}/").content.decode()


@pytest.mark.parametrize("lines", [1, 3])
def test_a_result_takes_as_many_queries_for_three_sites_as_for_one(
    pages, plan, officer, register, django_assert_num_queries, lines
):
    run = make_run(plan, officer)
    for number in range(lines):
        make_line(run, make_facility(f"site-{number}", register.upper))

    with django_assert_num_queries(DETAIL_QUERIES):
        pages.get(f"/plans/{plan.pk}/")


def test_starting_a_plan_computes_it_and_shows_the_result(
    pages, plan, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        answer = pages.post(f"/plans/{plan.pk}/start/")

    page = pages.get(answer.url).content.decode()
    assert plan.runs.get().state == "done"
    assert "What to do, site by site" in page


def test_limits_that_exclude_every_plan_are_named_with_what_would_do(
    pages, plan, register, django_capture_on_commit_callbacks
):
    plan.floors.create(area=register.upper, share=1)
    EquipmentItem.objects.filter(code="hill-001").update(condition="repairable")
    Plan.objects.filter(pk=plan.pk).update(capital=0)

    with django_capture_on_commit_callbacks(execute=True):
        pages.post(f"/plans/{plan.pk}/start/")

    page = pages.get(f"/plans/{plan.pk}/").content.decode()
    assert "No plan meets all of these limits." in page
    assert f'href="/plans/draft/?like={plan.pk}"' in page


def test_a_plan_that_is_being_computed_is_not_started_again(pages, plan, officer):
    make_run(plan, officer, "running")

    page = pages.post(f"/plans/{plan.pk}/start/", follow=True).content.decode()

    assert "This plan is being computed already." in page
    assert plan.runs.count() == 1


def test_cancelling_asks_the_run_to_stop(pages, plan, officer):
    run = make_run(plan, officer, "running")

    answer = pages.post(f"/plans/{plan.pk}/cancel/")

    run.refresh_from_db()
    assert (answer.url, run.cancel_requested) == (f"/plans/{plan.pk}/", True)


@pytest.mark.parametrize(
    "name", ["actions.csv", "actions.xlsx", "coverage.csv", "result.json", "case.json"]
)
def test_every_file_of_a_finished_run_comes_as_a_download(
    pages, plan, name, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        pages.post(f"/plans/{plan.pk}/start/")
    run = plan.runs.get()

    answer = pages.get(f"/plans/{plan.pk}/runs/{run.pk}/{name}")

    assert answer.status_code == 200
    assert answer["Content-Disposition"] == (
        f'attachment; filename="plan-{plan.pk}-run-{run.pk}-{name}"'
    )
    assert len(answer.content) > 50


def test_a_cancelled_run_that_found_a_plan_shows_it_and_says_that_it_was_cancelled(
    pages, read, plan, officer
):
    message = "The search was stopped. The best plan found until then is kept with the run."
    answer = {"status": "feasible", "gap": 0.2, "summary": summary(), "result": make_document()}
    run = make_run(plan, officer, "cancelled", message=message, **answer)

    page = read()

    assert message in page
    assert "What to do, site by site" in page
    assert pages.get(f"/plans/{plan.pk}/runs/{run.pk}/actions.csv").status_code == 200


@pytest.mark.parametrize("state", ["queued", "running", "failed", "cancelled", "interrupted"])
def test_a_run_without_an_answer_has_no_files(pages, plan, officer, state):
    run = make_run(plan, officer, state)

    assert pages.get(f"/plans/{plan.pk}/runs/{run.pk}/result.json").status_code == 404
