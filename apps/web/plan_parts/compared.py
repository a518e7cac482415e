"""Two to four plans side by side: limits, money, coverage, and the actions that differ."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.web.answers import answer
from apps.web.figures import figures, money_text, percent_text

LISTED = 300


@dataclass(frozen=True)
class Row:
    """``cells`` in the order of the plans; ``differs`` where they are not all the same."""

    name: str
    cells: tuple[str, ...]

    @property
    def differs(self) -> bool:
        return len(set(self.cells)) > 1


@dataclass(frozen=True)
class Table:
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class ActionRow:
    facility: Any
    what: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Compared:
    """``same``: how many actions all plans share; ``more``: differing ones beyond the list."""

    plans: tuple[Any, ...]
    answers: tuple[str, ...]
    tables: tuple[Table, ...]
    actions: tuple[ActionRow, ...]
    same: int
    more: int


def compared(plans: Sequence[Any], runs: Sequence[Any | None], lines: Iterable[Any]) -> Compared:
    """``runs``: of each plan the one to show, if any; ``lines``: the actions of all of them."""
    found = [run if run is not None and run.summary.get("coverage") else None for run in runs]
    differing, same = _actions(found, lines)
    return Compared(
        plans=tuple(plans),
        answers=tuple(answer(run) for run in runs),
        tables=(_limits(plans), _money(plans, found), _coverage(found), *_parts(found)),
        actions=tuple(differing[:LISTED]),
        same=same,
        more=max(0, len(differing) - LISTED),
    )


def _row(name: str, values: Iterable[Any], text: Callable[[Any], str]) -> Row:
    return Row(name, tuple("–" if value is None else text(value) for value in values))


def _limits(plans: Sequence[Any]) -> Table:
    def unlimited(text: Callable[[Any], str]) -> Callable[[Any], str]:
        return lambda value: gettext("no limit") if value == "" else text(value)

    def or_blank(name: str) -> list[Any]:
        return ["" if getattr(plan, name) is None else getattr(plan, name) for plan in plans]

    currency = plans[0].area.currency
    money = unlimited(lambda amount: money_text(amount, currency))
    aims = {"most": gettext("most tests"), "least_money": gettext("targets for least money"),
            "worst_first": gettext("worst-off first")}  # fmt: skip
    return Table(
        gettext("The question"),
        (
            _row(gettext("Area"), [plan.area.name for plan in plans], str),
            _row(gettext("Sought first"),
                 [plan.asked.get("aim", {"kind": "most"})["kind"] for plan in plans], aims.get),
            _row(gettext("Money"), [plan.capital for plan in plans], money),
            _row(gettext("Earmarked money"),
                 [sum(each.amount for each in plan.earmarks.all()) for plan in plans], money),
            _row(gettext("Running costs, a year, at most"), or_blank("recurrent"), money),
            _row(gettext("Trainer days at most"), or_blank("trainer_days"), unlimited(figures)),
            _row(gettext("Units of a model per site"), [plan.max_units for plan in plans], str),
            _row(gettext("Evidence at least"), [plan.minimum_evidence for plan in plans], str),
            _row(gettext("Areas with a floor"), [len(plan.floors.all()) for plan in plans], str),
        ),
    )  # fmt: skip


def _money(plans: Sequence[Any], runs: Sequence[Any | None]) -> Table:
    def each(value: Callable[[Mapping[str, Any]], Any]) -> list[Any]:
        return [value(run.summary) if run else None for run in runs]

    currency = plans[0].area.currency
    spent = each(lambda s: s["money"]["capital"] + sum(s["money"]["earmarks"].values()))
    counts = each(lambda s: sum(s["actions"].values()))
    return Table(
        gettext("The money"),
        (
            _row(gettext("Spent once"), spent, lambda amount: money_text(amount, currency)),
            _row(gettext("Running costs, a year"), each(lambda s: s["money"]["recurrent"]),
                 lambda amount: money_text(amount, currency)),
            _row(gettext("Units, trainings and works"), counts, figures),
        ),
    )  # fmt: skip


def _coverage(runs: Sequence[Any | None]) -> Table:
    def each(when: str, what: str) -> list[Any]:
        return [run.summary["coverage"][when][what] if run else None for run in runs]

    def share(value: float) -> str:
        return percent_text(value, 1)

    gaps = [run.gap if run else None for run in runs]
    people = [run.summary["people"]["gain"] if run and "people" in run.summary else None
              for run in runs]  # fmt: skip
    return Table(
        gettext("What it changes"),
        (
            _row(gettext("Tests done today"), each("before", "tests_met_share"), share),
            _row(gettext("Tests done with the plan"), each("after", "tests_met_share"), share),
            _row(gettext("Weighted by use and accuracy"), each("after", "weighted_share"), share),
            _row(gettext("People for whom more is done"), people, figures),
            _row(gettext("May be off the best by"), gaps, lambda gap: percent_text(gap, 2)),
        ),
    )


def _parts(runs: Sequence[Any | None]) -> Iterable[Table]:
    for key, title in (
        ("areas", gettext("With the plan, by where people live")),
        ("programmes", gettext("With the plan, by programme")),
    ):
        after = [
            {part["code"]: part for part in run.summary["coverage"][key]} if run else {}
            for run in runs
        ]
        names = {code: part["name"] for parts in after for code, part in parts.items()}
        rows = (
            _row(
                name,
                [parts[code]["after"] if code in parts else None for parts in after],
                lambda share: percent_text(share, 1),
            )
            for code, name in names.items()
        )
        yield Table(title, tuple(rows))


def _actions(runs: Sequence[Any | None], lines: Iterable[Any]) -> tuple[list[ActionRow], int]:
    """The actions that not all plans take alike, by site; and how many they do."""
    positions = {run.pk: number for number, run in enumerate(runs) if run}
    found: dict[tuple[str, str, str], list[int]] = {}
    shown: dict[tuple[str, str, str], Any] = {}
    for line in lines:
        key = (line.facility.code, line.kind, line.item_code)
        found.setdefault(key, [0] * len(runs))[positions[line.run_id]] += line.quantity
        shown[key] = line
    rows = [
        ActionRow(
            shown[key].facility,
            f"{shown[key].get_kind_display()} {shown[key].item_name}",
            tuple("–" if not quantity else str(quantity) for quantity in quantities),
        )
        for key, quantities in sorted(found.items())
        if len(set(quantities)) > 1
    ]
    return rows, len(found) - len(rows)
