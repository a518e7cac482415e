"""Figures for Plotly, built here and drawn by ``static/web/draw.js``.

Colours are the names of custom properties of ``tokens.css``; the script puts in what they
are in the reader's colour scheme.
"""

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import plotly.graph_objects as go
from django.utils.html import escape
from django.utils.translation import gettext

BEFORE, AFTER, LINK = "var(--chart-before)", "var(--chart-after)", "var(--chart-link)"
INK, RULE = "var(--ink)", "var(--rule)"
ROW_HEIGHT_PX, FRAME_HEIGHT_PX = 36, 90
BUDGETS_HEIGHT_PX = 320
LETTERS_A_LINE = 22


def before_and_after(rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """One line for each of ``rows`` (``name``, shares 0..1 ``before`` and ``after``).

    A hollow disc marks today, a filled one the plan, so that grey print reads as well.
    """
    names = [_folded(row["name"]) for row in rows]
    figure = go.Figure(
        [
            _links(names, rows),
            _ends(names, rows, "before", gettext("Today"), BEFORE, "circle-open"),
            _ends(names, rows, "after", gettext("With the plan"), AFTER, "circle"),
        ]
    )
    _frame(figure, FRAME_HEIGHT_PX + ROW_HEIGHT_PX * len(rows))
    figure.update_xaxes(
        range=[-0.02, 1.02], tickformat=".0%", gridcolor=RULE, zeroline=False, fixedrange=True
    )
    figure.update_yaxes(
        autorange="reversed", automargin=True, showgrid=False, fixedrange=True, type="category"
    )
    return figure.to_plotly_json()


def coverage_against_budget(
    points: Sequence[Mapping[str, Any]],
    links: Sequence[str],
    capital: float,
    share: float,
    currency: str,
) -> dict[str, Any]:
    """What each of ``points`` (``budget``, shares ``share`` and ``bound``) achieves, and at
    most could; the plan of ``capital`` and ``share`` as a disc of its own.

    A point leads to its address of ``links``.
    """
    budgets = [point["budget"] for point in points]
    hover = "%{x:,.0f} " + escape(currency) + ": %{y:.1%}<extra></extra>"
    figure = go.Figure(
        [
            go.Scatter(
                name=gettext("No plan does better"),
                x=budgets,
                y=[point["bound"] for point in points],
                mode="lines",
                line={"color": LINK, "width": 2, "dash": "dot"},
                hoverinfo="skip",
            ),
            go.Scatter(
                name=gettext("Best plan found"),
                x=budgets,
                y=[point["share"] for point in points],
                customdata=list(links),
                mode="lines+markers",
                line={"color": AFTER, "width": 3},
                marker={"color": AFTER, "symbol": "circle-open", "size": 11, "line": {"width": 2}},
                hovertemplate=hover,
            ),
            go.Scatter(
                name=gettext("This plan"),
                x=[capital],
                y=[share],
                mode="markers",
                marker={"color": BEFORE, "symbol": "diamond", "size": 14},
                hovertemplate=hover,
            ),
        ]
    )
    _frame(figure, BUDGETS_HEIGHT_PX)
    figure.update_layout(margin={"l": 48})
    figure.update_xaxes(
        title={"text": currency}, tickformat="~s", gridcolor=RULE, zeroline=False, fixedrange=True
    )
    figure.update_yaxes(tickformat=".0%", gridcolor=RULE, zeroline=False, fixedrange=True)
    return figure.to_plotly_json()


def _frame(figure: go.Figure, height: int) -> None:
    figure.update_layout(
        template="none",
        height=height,
        margin={"l": 8, "r": 16, "t": 34, "b": 36},
        font={"color": INK, "size": 13},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        legend={"orientation": "h", "x": 0, "y": 1, "yanchor": "bottom"},
        hovermode="closest",
    )


def _folded(name: str) -> str:
    """Long names on two lines, or they leave no room for the figure on a phone."""
    return "<br>".join(textwrap.wrap(escape(name), LETTERS_A_LINE))


def _ends(
    names: list[str],
    rows: Sequence[Mapping[str, Any]],
    key: str,
    title: str,
    colour: str,
    symbol: str,
) -> go.Scatter:
    return go.Scatter(
        name=title,
        x=[row[key] for row in rows],
        y=names,
        mode="markers",
        marker={
            "color": colour,
            "symbol": symbol,
            "size": 13,
            "line": {"width": 3, "color": colour},
        },
        hovertemplate="%{y}: %{x:.1%}<extra>" + title + "</extra>",
    )


def _links(names: list[str], rows: Sequence[Mapping[str, Any]]) -> go.Scatter:
    """A bar from today to the plan in each row; a gap parts one row from the next."""
    across: list[float | None] = []
    along: list[str | None] = []
    for name, row in zip(names, rows, strict=True):
        across += [row["before"], row["after"], None]
        along += [name, name, None]
    return go.Scatter(
        x=across,
        y=along,
        mode="lines",
        line={"color": LINK, "width": 5},
        hoverinfo="skip",
        showlegend=False,
    )
