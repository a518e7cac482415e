"""What a finished run came to, arranged for its page: money, coverage, actions by site."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext

from apps.web.charts import before_and_after
from apps.web.figures import percent_text, points_text


@dataclass(frozen=True)
class Bar:
    """Money of one kind: used, and its limit; ``None`` where there is no limit."""

    label: str
    used: float
    limit: float | None


@dataclass(frozen=True)
class ChangeRow:
    """Shares of yearly need met, as text: today, with the plan, and the points between."""

    name: str
    before: str
    after: str
    change: str


@dataclass(frozen=True)
class ChangeChart:
    name: str
    title: str
    of: str
    figure: dict[str, Any]
    rows: tuple[ChangeRow, ...]


def budget(money: Mapping[str, Any], programmes: Mapping[str, str]) -> list[Bar]:
    """Capital, each earmark and the running costs; ``programmes``: code to name."""
    limits = money["limits"]
    earmarked = [
        Bar(
            gettext("Earmarked: %(programme)s") % {"programme": programmes.get(code, code)},
            money["earmarks"].get(code, 0),
            limit,
        )
        for code, limit in sorted(limits["earmarks"].items())
    ]
    return [
        Bar(gettext("Purchases, repairs, training, infrastructure"), money["capital"],
            limits["capital"]),
        *earmarked,
        Bar(gettext("Running costs, a year"), money["recurrent"], limits["recurrent"]),
    ]  # fmt: skip


def change_charts(coverage: Mapping[str, Any]) -> list[ChangeChart]:
    """Before and after by area and by programme, each as a figure and as rows of text."""
    return [
        _chart("areas", gettext("By where people live"), gettext("Area"), coverage["areas"]),
        _chart(
            "programmes",
            gettext("By programme of the test"),
            gettext("Programme"),
            coverage["programmes"],
        ),
    ]


def total_cost(lines: Iterable[Any]) -> Decimal:
    """What the actions cost together, in the currency of the plan."""
    return sum((line.cost for line in lines), Decimal(0))


def _chart(name: str, title: str, of: str, shares: Sequence[Mapping[str, Any]]) -> ChangeChart:
    rows = tuple(
        ChangeRow(
            row["name"],
            percent_text(row["before"], 1),
            percent_text(row["after"], 1),
            points_text(row["after"] - row["before"]),
        )
        for row in shares
    )
    return ChangeChart(name, title, of, before_and_after(shares), rows)
