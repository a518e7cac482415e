"""Each component on its own: what it writes, also for nothing and for the unknown."""

import datetime as dt
from pathlib import Path

import pytest
from django.core.paginator import Paginator
from django.template import Context, Template, TemplateSyntaxError
from django.test import RequestFactory
from django.utils import timezone

import apps.web
from apps.coverage.choices import State
from apps.facilities.choices import Level

WEB = Path(apps.web.__file__).parent
NBSP = "\N{NO-BREAK SPACE}"


def drawn(tag: str, **values: object) -> str:
    return Template(f"{{% load components %}}{{% {tag} %}}").render(Context(values)).strip()


def test_a_share_stands_in_words_before_it_stands_as_a_width():
    html = drawn("share_bar part=14 of=31 label='expected tests'")

    assert '14 of 31<span class="unseen"> expected tests</span>' in html
    assert '<rect class="share-part" width="45.2" height="4"/>' in html


def test_a_share_of_nothing_divides_by_nothing_and_says_so():
    assert drawn("share_bar part=0 of=0 label='tests'") == (
        '<span class="quiet">none expected</span>'
    )


def test_a_component_refuses_an_argument_that_it_does_not_know():
    with pytest.raises(TemplateSyntaxError, match="unexpected keyword argument 'off'"):
        drawn("share_bar part=1 off=2 label='x'")


@pytest.mark.parametrize("state", State.values)
def test_every_state_has_a_mark_with_its_word_and_a_glyph_of_its_own(state):
    styles = (WEB / "static/web/components/state_mark.css").read_text()
    grid = (WEB / "static/web/components/coverage_grid.css").read_text()

    html = drawn("state_mark state=state", state=state)

    assert html == f'<span class="mark is-{state}"><i></i>{State(state).label}</span>'
    assert f".is-{state} i" in styles
    assert grid.count("::before {\n  content:") >= len(State)


def test_no_two_states_share_a_glyph():
    styles = (WEB / "static/web/components/state_mark.css").read_text()

    glyphs = [part[0] for part in styles.split('content: "')[1:]]

    assert (len(glyphs), len(set(glyphs))) == (len(State), len(State))


@pytest.mark.parametrize("level", Level.values)
def test_a_level_stands_as_its_shape_and_its_name(level):
    html = drawn("level_mark level=level", level=level)

    assert f"<span>{Level(level).label}</span>" in html
    assert 'aria-hidden="true"><path d="M' in html


@pytest.mark.parametrize(
    ("tag", "html"),
    [
        (
            "money amount=1200 currency='USD'",
            f'<data class="money" value="1200">USD{NBSP}1,200</data>',
        ),
        ("money amount=0 currency='USD'", f'<data class="money" value="0">USD{NBSP}0</data>'),
        ("money amount=none currency='USD'", '<span class="quiet">no price</span>'),
    ],
)
def test_money_carries_its_currency_and_nothing_is_not_zero(tag, html):
    assert drawn(tag, none=None) == html


@pytest.mark.parametrize(
    ("value", "html"),
    [(0, "<dd>0</dd>"), (None, '<dd><span class="not-known">not known</span></dd>'),
     ("", '<dd><span class="not-known">not known</span></dd>'), (12.5, "<dd>12.5</dd>")],
)  # fmt: skip
def test_a_fact_that_is_zero_is_known_and_a_blank_one_is_not(value, html):
    assert html in drawn("fact label='People' value=value", value=value)


def test_a_budget_that_is_overdrawn_stays_within_its_bar_and_one_without_limit_has_none():
    over = drawn("budget_bar label='Money' used=120 limit=100 currency='USD'")
    free = drawn("budget_bar label='Money' used=120 limit=none currency='USD'", none=None)

    assert 'class="budget-used" width="100.0"' in over
    assert "(no limit)" in free
    assert "<svg" not in free


def test_a_limit_of_nothing_is_not_the_same_as_no_limit():
    html = drawn("budget_bar label='Money' used=0 limit=0 currency='USD'")

    assert "(no limit)" not in html
    assert html.count(f"USD{NBSP}0") == 2


def test_the_pager_keeps_the_rest_of_the_address():
    request = RequestFactory().get("/sites/?text=hill&page=2")
    page = Paginator(range(150), 50).page(2)

    html = drawn("pager page=page request=request", page=page, request=request)

    assert "51 to 100 of 150" in html
    assert 'href="?text=hill&amp;page=1"' in html
    assert 'href="?text=hill&amp;page=3"' in html


@pytest.mark.parametrize(
    ("asked", "target", "direction"),
    [
        ("", "?sort=people", ""),
        ("?sort=people&page=3", "?sort=-people", ' aria-sort="ascending"'),
        ("?sort=-people", "?sort=people", ' aria-sort="descending"'),
    ],
)
def test_a_second_click_turns_the_order_round_and_goes_back_to_the_first_page(
    asked, target, direction
):
    request = RequestFactory().get(f"/sites/{asked}")

    html = drawn("sort_head request=request field='people' label='People'", request=request)

    assert html.startswith(f'<th scope="col"{direction}><a href="{target}">People</a>')


def test_every_style_sheet_of_a_component_says_in_its_first_line_what_it_is_for():
    sheets = sorted((WEB / "static" / "web" / "components").glob("*.css"))

    assert [sheet.name for sheet in sheets if not sheet.read_text().startswith("/* ")] == []


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0 s"), (59, "59 s"), (60, "1 min 0 s"), (3661, "61 min 1 s")]
)
def test_elapsed_time_counts_seconds_and_from_a_minute_on_minutes(seconds, text, monkeypatch):
    start = dt.datetime(2026, 1, 15, tzinfo=dt.UTC)
    monkeypatch.setattr(timezone, "now", lambda: start + dt.timedelta(seconds=seconds))

    html = Template("{% load components %}{{ start|elapsed }}").render(Context({"start": start}))

    assert html == text
