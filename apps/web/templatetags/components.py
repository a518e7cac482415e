"""The parts that pages are made of: one tag, one template, one style sheet each.

Every tag takes plain keyword arguments and writes its own empty case in words. Colour is
never the only sign.
"""

import datetime as dt
from decimal import Decimal
from typing import Any

from django import template
from django.core.paginator import Page
from django.forms import BaseForm, BoundField
from django.http import HttpRequest
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from apps.coverage.choices import State
from apps.facilities.choices import Level
from apps.web.figures import gap_text, money_text
from apps.web.shapes import outline
from apps.web.suits import MARKS, WOULD
from planner.engine.matching import Verdict

register = template.Library()
Values = dict[str, Any]

LONG_REASON = 300


@register.inclusion_tag("web/components/state_mark.html")
def state_mark(*, state: str, words: str = "") -> Values:
    """The glyph of ``state`` and its name, or ``words`` in its place."""
    return {"state": state, "words": words or State(state).label}


@register.inclusion_tag("web/components/state_mark.html")
def would(*, verdict: Verdict, words: str = "") -> Values:
    """Whether something would do, with the glyphs of the states."""
    return {"state": MARKS[verdict], "words": words or WOULD[verdict]}


@register.inclusion_tag("web/components/sourced.html")
def sourced(*, source: Any, kind: str, words: str, dated_on: dt.date | None = None) -> Values:
    """Where a number comes from and of what kind it is; a planning default stands out."""
    return {"source": source, "kind": kind, "words": words, "dated_on": dated_on}


@register.inclusion_tag("web/components/level_mark.html")
def level_mark(*, level: int) -> Values:
    """The shape of a level of care and its name."""
    return {"name": Level(level).label, "path": outline(level, radius=6)}


@register.inclusion_tag("web/components/long_reason.html")
def long_reason(*, text: str, tests_per_year: float) -> Values:
    """A reason; one of more than a few lines opens from a line that says what it comes to."""
    return {"text": text, "tests_per_year": tests_per_year, "is_long": len(text) > LONG_REASON}


@register.inclusion_tag("web/components/share_bar.html")
def share_bar(*, part: int, of: int, label: str) -> Values:
    """'14 of 31', and a bar of that width; ``label`` says of what."""
    width = f"{100 * part / of:.1f}" if of else None
    return {"part": part, "of": of, "label": label, "width": width}


@register.inclusion_tag("web/components/budget_bar.html")
def budget_bar(
    *, label: str, used: float, limit: float | None, currency: str = "", unit: str = ""
) -> Values:
    """Used and limit in words and as a bar; a limit of ``None`` is said, not drawn."""
    width = f"{min(100.0, 100 * used / limit):.1f}" if limit else None
    return {
        "label": label,
        "used": used,
        "limit": limit,
        "currency": currency,
        "unit": unit,
        "width": width,
    }


@register.simple_tag
def money(*, amount: Decimal | float | None, currency: str) -> SafeString:
    """An amount with its currency; an unknown amount is a dash with its meaning."""
    if amount is None:
        return format_html('<span class="quiet">{}</span>', gettext("no price"))
    return format_html(
        '<data class="money" value="{}">{}</data>', amount, money_text(amount, currency)
    )


@register.filter
def gap(share: float) -> str:
    """How far a plan may be off, in per cent."""
    return gap_text(share)


@register.filter
def elapsed(since: dt.datetime) -> str:
    """The time from ``since`` to now, in seconds and from a minute on in minutes as well."""
    minutes, seconds = divmod(int((timezone.now() - since).total_seconds()), 60)
    if not minutes:
        return gettext("%(seconds)d s") % {"seconds": seconds}
    return gettext("%(minutes)d min %(seconds)d s") % {"minutes": minutes, "seconds": seconds}


@register.inclusion_tag("web/components/fact.html")
def fact(
    *, label: str, value: object, unit: str = "", as_of: dt.date | None = None, basis: str = ""
) -> Values:
    """A fact with the day and the way it became known; ``None`` or blank is 'not known'."""
    known = value is not None and value != ""
    return {
        "label": label,
        "value": value,
        "known": known,
        "unit": unit,
        "as_of": as_of,
        "basis": basis,
    }


@register.inclusion_tag("web/components/as_of.html")
def as_of(*, date: dt.date | None, basis: str = "") -> Values:
    """The day a fact was seen, or that nobody wrote it down."""
    return {"date": date, "basis": basis}


@register.inclusion_tag("web/components/empty_state.html")
def empty_state(*, title: str, text: str, href: str = "", action: str = "") -> Values:
    """Why there is nothing here, and what to do about it."""
    return {"title": title, "text": text, "href": href, "action": action}


@register.inclusion_tag("web/components/field.html")
def field(*, of: BoundField, unit: str = "") -> Values:
    """One question of a form with its help and its errors, joined for screen readers."""
    return {"field": of, "unit": unit}


@register.inclusion_tag("web/components/filter_form.html")
def filter_form(*, form: BaseForm, clear: str, label: str) -> Values:
    """A GET form that keeps its answers in the address; ``clear`` is the bare address."""
    return {"form": form, "clear": clear, "label": label}


@register.inclusion_tag("web/components/pager.html")
def pager(*, page: Page, request: HttpRequest) -> Values:
    """Where in the list, and links that keep everything else in the address."""
    return {
        "page": page,
        "previous": _with(request, page=page.previous_page_number()) if page.has_previous() else "",
        "next": _with(request, page=page.next_page_number()) if page.has_next() else "",
    }


@register.inclusion_tag("web/components/sort_head.html")
def sort_head(
    *,
    request: HttpRequest,
    field: str,
    label: str,
    number: bool = False,
    wide_only: bool = False,
    first: str = "up",
) -> Values:
    """A column head that sorts by ``field``; a second click turns the order round."""
    asked = request.GET.get("sort", "")
    up = asked == field
    down = asked == f"-{field}"
    start = f"-{field}" if first == "down" else field
    target = field if down else f"-{field}" if up else start
    return {
        "label": label,
        "number": number,
        "wide_only": wide_only,
        "direction": "ascending" if up else "descending" if down else "",
        "href": _with(request, sort=target, page=None),
    }


@register.inclusion_tag("web/components/data_chart.html")
def data_chart(*, name: str, figure: Values, label: str) -> Values:
    """A place for a Plotly figure; ``static/web/draw.js`` fills it."""
    return {"name": name, "figure": figure, "label": label}


def _with(request: HttpRequest, **changed: object) -> str:
    query = request.GET.copy()
    for name, value in changed.items():
        query.pop(name, None)
        if value is not None:
            query[name] = str(value)
    return f"?{query.urlencode()}"
