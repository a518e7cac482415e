"""What was measured on a device, as figures for Plotly; colours are names of ``tokens.css``."""

from collections.abc import Sequence
from itertools import groupby
from typing import Any

import plotly.graph_objects as go
from django.utils.translation import gettext

from apps.web.charts import AFTER, BEFORE, INK, RULE

HEIGHT_PX = 340
Points = Sequence[tuple[float, float]]


def difference_chart(
    pairs: Points, *, bias: float, lower: float, upper: float, unit: str
) -> dict[str, Any]:
    """Bland and Altman's plot: the difference device − reference against the mean of both.

    ``pairs``: device and reference of each specimen.
    """
    means = [(device + reference) / 2 for device, reference in pairs]
    differences = [device - reference for device, reference in pairs]
    figure = go.Figure(_marks(means, differences, gettext("Specimens")))
    ends = [min(means), max(means)]
    for name, height, dash in (
        (gettext("Upper limit of agreement"), upper, "dash"),
        (gettext("Mean difference"), bias, "solid"),
        (gettext("Lower limit of agreement"), lower, "dash"),
    ):
        figure.add_trace(_line(ends, [height, height], name, dash))
    return _framed(
        figure,
        _with_unit(gettext("Mean of device and reference"), unit),
        _with_unit(gettext("Device − reference"), unit),
    )


def speed_chart(rows: Sequence[Sequence[float]], *, set_rpm: float | None) -> dict[str, Any]:
    """Speed against time, a curve for each run; ``rows``: run, seconds, speed in rpm."""
    figure = go.Figure()
    for run, readings in groupby(rows, key=lambda row: row[0]):
        _, seconds, speeds = zip(*readings, strict=True)
        name = gettext("Run %(number)d") % {"number": int(run)}
        figure.add_trace(_line(list(seconds), list(speeds), name, "solid", AFTER, marks=True))
    if set_rpm is not None:
        ends = [min(row[1] for row in rows), max(row[1] for row in rows)]
        figure.add_trace(_line(ends, [set_rpm, set_rpm], gettext("Speed set"), "dash"))
    return _framed(figure, gettext("Seconds"), gettext("Revolutions a minute"))


def error_chart(pairs: Points, *, unit: str) -> dict[str, Any]:
    """How far off the device is at each setting; ``pairs``: stated and found."""
    stated = [said for said, _ in pairs]
    errors = [found - said for said, found in pairs]
    figure = go.Figure(_marks(stated, errors, gettext("Readings")))
    figure.add_trace(_line([min(stated), max(stated)], [0, 0], gettext("No error"), "solid"))
    return _framed(
        figure,
        _with_unit(gettext("Set or shown by the device"), unit),
        _with_unit(gettext("Found − stated"), unit),
    )


def _marks(across: list[float], up: list[float], name: str) -> go.Scatter:
    return go.Scatter(
        x=across,
        y=up,
        mode="markers",
        name=name,
        marker={"color": AFTER, "size": 8, "symbol": "circle-open", "line": {"width": 2}},
        hovertemplate="%{x:.4g}: %{y:.4g}<extra></extra>",
    )


def _line(
    across: list[float],
    up: list[float],
    name: str,
    dash: str,
    colour: str = BEFORE,
    *,
    marks: bool = False,
) -> go.Scatter:
    return go.Scatter(
        x=across,
        y=up,
        mode="lines+markers" if marks else "lines",
        name=name,
        line={"color": colour, "width": 2, "dash": dash},
        hovertemplate="%{x:.4g}: %{y:.4g}<extra>" + name + "</extra>",
    )


def _with_unit(words: str, unit: str) -> str:
    return f"{words}, {unit}" if unit else words


def _framed(figure: go.Figure, across: str, up: str) -> dict[str, Any]:
    figure.update_layout(
        template="none",
        height=HEIGHT_PX,
        margin={"l": 8, "r": 16, "t": 8, "b": 8},
        font={"color": INK, "size": 13},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        legend={"orientation": "h", "x": 0, "y": -0.25, "yanchor": "top"},
        hovermode="closest",
    )
    frame = {"gridcolor": RULE, "zeroline": False, "fixedrange": True, "automargin": True}
    figure.update_xaxes(title={"text": across}, **frame)
    figure.update_yaxes(title={"text": up}, **frame)
    return figure.to_plotly_json()
