"""The further questions of a plan, and what stands beside its answer."""

from typing import Any

import pytest

from apps.plans.models import Plan
from tests.api.register import make_person, make_plan
from tests.web.scene import make_line, make_run, summary
from tests.web.test_plans import ANSWERS

BESIDE_QUERIES = 15
COMPARE_QUERIES = 8

BESIDE: dict[str, Any] = {
    "sites": {"hill": [1000, 1000, 1000], "ford": [1000, 0, 1000]},
    "people": {"all": 20_000, "gain": 8_000},
    "fifths": [{"people": 4000, "before": 0.0, "after": 1.0}] * 5,
    "remaining": {
        "by_why": {"elsewhere": 120},
        "sites": [
            {"code": "ford", "tests": 120, "by_why": {"elsewhere": 120},
             "next_test": "Haemoglobin", "next_cost": 450.0}
        ],
        "more_sites": 2,
    },
    "running": {"before": 100.0, "after": 160.0},
    "asked": {"minimum_sets": {"pairs": 0}, "targets": [], "groups": []},
    "funds": {"cuvette-photometer": ["maternal"]},
    "frontier": {
        "today": 0.5,
        "points": [
            {"budget": 0.0, "share": 0.5, "bound": 0.5},
            {"budget": 1000.0, "share": 0.8, "bound": 0.81},
            {"budget": 4000.0, "share": 0.9, "bound": 0.9},
        ],
        "steps": [
            {"start": 0.0, "end": 1000.0, "least": 600.0, "most": 620.0},
            {"start": 1000.0, "end": 4000.0, "least": 60.0, "most": 67.0},
        ],
        "useful": 4000.0,
        "diminishing": 1000.0,
    },
    "baselines": [
        {"way": way, "objective": objective, "tests_met_share": 0.9, "weighted_share": 0.9,
         "cost": 800.0, "recurrent": 100.0}
        for way, objective in (("equal_shares", 1000), ("largest_first", 1500), ("greedy", 1750))
    ],
}  # fmt: skip


@pytest.fixture
def plan(register, officer) -> Plan:
    return make_plan(register.north, officer)


@pytest.fixture
def shown(pages, plan, officer):
    """The page of the plan with what is given of its summary, spaces made plain."""

    def page(**changed: Any) -> str:
        make_run(plan, officer, summary=summary(**{**BESIDE, **changed}))
        text = pages.get(f"/plans/{plan.pk}/").content.decode()
        return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())

    return page


# The form.

ASKED = {
    "aim": "least_money",
    "target-all": "40",
    "target-programme-maternal": "55.5",
    "set-0-levels": ["2"],
    "set-0-tests": ["haemoglobin"],
    "set-0-share": "",
    "fixed-0-site": "ford",
    "fixed-0-action": "buy:cuvette-photometer",
    "fixed-0-rule": "least",
    "fixed-0-units": "",
    "fixed-1-site": "*",
    "fixed-1-action": "repair:cuvette-photometer",
    "fixed-1-rule": "most",
    "fixed-1-units": "",
    "class-0-class": "photometer",
    "class-0-most": "",
    "bundle-0-model": "cuvette-photometer",
    "bundle-0-skill": "microscopy",
    "bundle-0-infrastructure": "water",
    "bundle-0-cost": "25",
    "supervised": "50",
}
KEPT = {
    "aim": {
        "kind": "least_money",
        "targets": [
            {"area": None, "programme": None, "share": 0.4},
            {"area": None, "programme": "maternal", "share": 0.555},
        ],
    },
    "minimum_sets": [
        {"code": "set-1", "name": "Minimum set 1", "levels": [2], "tests": ["haemoglobin"],
         "share": 1.0}
    ],
    "fixed": [
        {"site": "ford", "kind": "buy", "item": "cuvette-photometer", "at_least": 1},
        {"site": None, "kind": "repair", "item": "cuvette-photometer", "at_most": 0},
    ],
    "models_per_class": {"photometer": 1},
    "bundles": [
        {"code": "cuvette-photometer", "name": "All that belongs to it",
         "model": "cuvette-photometer", "skills": ["microscopy"], "infrastructure": ["water"],
         "cost": 25.0}
    ],
    "supervised_share": 0.5,
}  # fmt: skip


def test_everything_that_is_asked_on_the_form_is_kept_and_said_on_the_page(pages):
    answer = pages.post("/plans/draft/", {**ANSWERS, **ASKED})

    assert Plan.objects.get().asked == KEPT
    page = " ".join(
        pages.get(answer.url).content.decode().replace("\N{NO-BREAK SPACE}", " ").split()
    )
    for words in (
        "whole district: 40 %",
        "Maternal health: 55.5 %",
        "Health centre: Haemoglobin (100 % of demand)",
        "Ford: buy Cuvette photometer, at least 1 times",
        "every site: repair Cuvette photometer",
        "Photometer: 1",
        "Cuvette photometer with Microscopy, Running water, USD 25",
    ):
        assert words in page


def test_a_plan_like_another_asks_the_same_again(pages):
    pages.post("/plans/draft/", {**ANSWERS, **ASKED})
    first = Plan.objects.get()
    page = pages.get(f"/plans/draft/?like={first.pk}").content.decode()

    assert 'name="target-programme-maternal" value="55.5"' in page
    assert '<option value="buy:cuvette-photometer" selected>' in page
    assert page.count('<details class="ask" open>') == 5


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"aim": "least_money"}, "Write at least one target below."),
        ({"target-all": "101"}, "Write at most 100; “101” is more."),
        ({"set-0-tests": ["haemoglobin"]}, "Choose at least one."),
        ({"set-0-levels": ["2"]}, "Choose at least one."),
        ({"fixed-0-site": "ford"}, "Choose one, or leave the whole row blank."),
        ({"fixed-0-site": "*", "fixed-0-action": "buy:cuvette-photometer",
          "fixed-0-rule": "least"}, "Say at which site; only a ban may be for all."),
        ({"fixed-0-site": "coast", "fixed-0-action": "buy:cuvette-photometer"},
         "Select a valid choice."),
        ({"class-0-class": "photometer", "class-0-most": "1.5"}, "Write a whole number"),
        ({"supervised": "x"}, "“x” is not a number this form can read."),
    ],
)  # fmt: skip
def test_a_wrong_wish_is_named_beside_its_question_and_nothing_is_saved(pages, wrong, message):
    page = pages.post("/plans/draft/", {**ANSWERS, **wrong}).content.decode()

    assert f">{message}" in page
    assert "answer could not be read" in page or "answers could not be read" in page
    assert not Plan.objects.exists()


def test_blank_rows_ask_for_nothing(pages):
    pages.post("/plans/draft/", {**ANSWERS, "aim": "most", "fixed-0-rule": "least"})

    assert Plan.objects.get().asked == {}


def test_a_budget_in_the_address_is_the_money_to_start_from(pages, plan):
    page = pages.get(f"/plans/draft/?like={plan.pk}&capital=1000").content.decode()

    assert 'name="capital" value="1000"' in page
    assert 'value="x"' not in pages.get("/plans/draft/?capital=x").content.decode()


# Beside the answer.


def test_other_budgets_lead_to_their_draft_and_say_what_1_000_more_do(shown, plan):
    page = shown()

    assert "USD 1,000 more would bring 60 to 67 more weighted tests a year." in page
    assert "From about USD 1,000 on, more money brings less than it does on average." in page
    assert f'href="/plans/draft/?like={plan.pk}&amp;capital=4000"' in page


@pytest.mark.parametrize(
    ("objective", "words"),
    [
        (1750, "It does 8.6 % more than the best of three simple ways."),
        (1899.9, "The best of three simple ways does as much."),
        (2000, "The best of three simple ways does 5.0 % more, since it seeks the most tests only"),
        (0, "None of the simple ways makes any test possible."),
    ],
)
def test_the_gain_on_simple_ways_is_said_plainly(shown, objective, words):
    """The plan of the scene is worth 1 900."""
    ways = [{**each, "objective": 0} for each in BESIDE["baselines"][:2]]

    assert words in shown(baselines=[*ways, {**BESIDE["baselines"][2], "objective": objective}])


def test_running_costs_without_a_limit_or_at_their_limit_are_a_warning(shown):
    assert "Make sure that USD 60 more can be paid every year" in shown()
    money = summary()["money"]
    limits = {**money["limits"], "recurrent": 161.0}
    page = shown(money={**money, "limits": limits})
    assert "The money to run the service is used up" in page
    far = {**money, "limits": {**limits, "recurrent": 1000.0}}
    assert "to run the service is used up" not in shown(money=far)


def test_five_years_add_up(shown):
    """900 now, then 160 a year: 1 700 after five."""
    page = shown()

    assert '<th scope="row">Year 5</th>' in page
    assert ">USD 1,700</data>" in page


def test_who_gains_and_who_is_left_out_is_said_and_drawn_twice(shown):
    page = shown()

    assert "More is done for 8,000 of 20,000 people." in page
    assert "120 could be made possible; the money brings more elsewhere." in page
    assert "Haemoglobin, for USD 450" in page
    assert [page.count(f'id="map-{when}"') for when in ("before", "after")] == [1, 1]


def test_what_was_sought_first_is_told_with_what_was_missed(shown):
    asked = {
        "minimum_sets": {
            "pairs": 2, "reached": 1,
            "missed": [{"site": "ford", "test": "Haemoglobin", "share": 0.25, "why": "No way."}],
        },
        "targets": [{"area": "Upper block", "programme": "", "share": 0.5, "reached": 0.6}],
        "groups": [{"code": "2", "name": "", "share": 0.75}],
    }  # fmt: skip
    page = shown(asked=asked)

    assert "1 of 2 tests at sites of the minimum sets are reached." in page
    assert "<b>Ford</b>, Haemoglobin (25 %): No way." in page
    assert "Upper block: 60.0 % of the most possible; 50.0 % was asked for." in page
    assert "Health centre: 75.0 % of what a plan for it alone could reach" in page


def test_actions_are_arranged_by_site_kind_or_who_may_pay(pages, plan, officer, register):
    plan.earmarks.create(programme=plan_programme(), amount=10)
    run = make_run(plan, officer, summary=summary(**BESIDE))
    make_line(run, register.ford)
    make_line(run, register.hill, kind="train", item_code="microscopy", item_name="Microscopy")

    def heads(query: str) -> list[str]:
        page = pages.get(f"/plans/{plan.pk}/{query}").content.decode()
        return [part.split(" <small")[0] for part in page.split('colspan="4">')[1:]]

    assert heads("?by=kind") == ["Buy", "Train"]
    assert heads("?by=fund") == [
        "Earmarked money (Maternal health), then general", "Only from the general money",
    ]  # fmt: skip
    assert heads("?by=wood") == heads("")


def plan_programme() -> Any:
    from_catalogue = Plan.earmarks.rel.related_model._meta.get_field("programme").related_model
    return from_catalogue.objects.get(code="maternal")


@pytest.mark.parametrize("lines", [1, 3])
def test_all_of_it_takes_as_many_queries_for_three_actions_as_for_one(
    pages, plan, officer, register, django_assert_num_queries, lines
):
    run = make_run(plan, officer, summary=summary(**BESIDE))
    for number in range(lines):
        make_line(run, register.ford, item_code=f"item-{number}")

    with django_assert_num_queries(BESIDE_QUERIES):
        pages.get(f"/plans/{plan.pk}/")


def test_the_budgets_come_as_a_file(pages, plan, officer):
    run = make_run(plan, officer, summary=summary(**BESIDE))

    text = pages.get(f"/plans/{plan.pk}/runs/{run.pk}/budgets.csv").content.decode("utf-8-sig")

    assert text.splitlines() == [
        "budget,share_at_least,share_at_most,next_1000_at_least,next_1000_at_most",
        "0.0,0.5,0.5,600.0,620.0",
        "1000.0,0.8,0.81,60.0,67.0",
        "4000.0,0.9,0.9,,",
    ]


# Side by side.


@pytest.fixture
def two(register, officer) -> tuple[Plan, Plan]:
    plans = make_plan(register.north, officer), make_plan(register.north, officer, capital=5000)
    for number, each in enumerate(plans):
        run = make_run(each, officer)
        make_line(run, register.ford)
        make_line(run, register.hill, kind="train", item_code="m", item_name="Microscopy",
                  quantity=number + 1)  # fmt: skip
    return plans


def test_plans_stand_side_by_side_with_the_actions_that_differ(pages, two):
    first, second = two

    page = pages.get(f"/plans/compare/?plan={second.pk}&plan={first.pk}").content.decode()

    text = " ".join(page.replace("\N{NO-BREAK SPACE}", " ").split())
    assert "<td>USD 5,000</td><td>USD 3,000</td>" in text
    assert "One action is the same in all of them." in text
    assert '<td>Train Microscopy</td><td class="number">2</td><td class="number">1</td>' in text
    assert "Buy Cuvette photometer" not in text


@pytest.mark.parametrize("chosen", [0, 1, 5])
def test_fewer_than_two_plans_or_more_than_four_are_not_compared(pages, register, officer, chosen):
    plans = [make_plan(register.north, officer) for _ in range(chosen)]
    query = "&".join(f"plan={each.pk}" for each in plans)

    page = pages.get(f"/plans/compare/?{query}", follow=True).content.decode()

    assert "Choose two to four plans to compare." in page


def test_a_plan_of_another_district_is_not_compared(browse, register, two):
    outsider = browse(make_person("health_officer", register.south))

    page = outsider.get(f"/plans/compare/?plan={two[0].pk}&plan={two[1].pk}", follow=True)

    assert "One of these plans is not there, or not yours to see." in page.content.decode()


def test_comparing_takes_a_constant_number_of_queries(
    pages, register, officer, two, django_assert_num_queries
):
    third = make_plan(register.north, officer)
    make_line(make_run(third, officer), register.ford)

    for plans in (two, (*two, third)):
        with django_assert_num_queries(COMPARE_QUERIES):
            pages.get("/plans/compare/?" + "&".join(f"plan={each.pk}" for each in plans))


def test_a_plan_without_an_answer_stands_beside_others_with_dashes(pages, register, officer, two):
    bare = make_plan(register.north, officer, title="Bare")

    answer = pages.get(f"/plans/compare/?plan={two[0].pk}&plan={bare.pk}")

    assert answer.status_code == 200
    assert "Not computed yet." in answer.content.decode()
