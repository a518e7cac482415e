"""The questions that are answered row by row; a row whose first parts are blank says nothing."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from apps.plans.choices import ActionKind
from apps.web.forms.numbers import FiguresField, plain

MOST_MONEY = 9_999_999_999
EVERYWHERE = "*"
LEAST, MOST = "least", "most"
Values = Mapping[str, Any]


@dataclass(frozen=True)
class Row:
    """``parts`` in their order on the page; what a filled row lacks, and what all rows ask."""

    name: str
    parts: tuple[str, ...]
    fields: Callable[[Any], dict[str, forms.Field]]
    needed: tuple[str, ...]
    answers: Callable[[Sequence[Values]], dict[str, Any]]
    initial: Callable[[Mapping[str, Any]], Iterable[Values]]

    def mistakes(self, values: Values) -> Iterable[tuple[str, str]]:
        for part in self.needed:
            if not values.get(part):
                yield part, gettext("Choose one, or leave the whole row blank.")
        if values.get("site") == EVERYWHERE and values.get("rule") == LEAST:
            yield "site", gettext("Say at which site; only a ban may be for all.")


def filled(row: Row, count: int, given: Values) -> list[tuple[int, dict[str, Any]]]:
    """The rows in which one of the needed parts was chosen, with their numbers."""
    rows = [
        (number, {part: given.get(f"{row.name}-{number}-{part}") for part in row.parts})
        for number in range(count)
    ]
    return [(number, values) for number, values in rows if any(values[p] for p in row.needed)]


def row_initial(asked: Mapping[str, Any]) -> dict[str, Any]:
    """What would be typed to ask the same again."""
    return {
        f"{row.name}-{number}-{part}": value
        for row in ROWS
        for number, values in enumerate(row.initial(asked))
        for part, value in values.items()
    }


def _choice(label: Any, options: Iterable[Any], blank: Any = "–") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=[("", blank), *options], required=False)


def _coded(rows: Iterable[Any]) -> list[tuple[str, str]]:
    return [(row.code, row.name) for row in rows]


def _money(label: Any) -> FiguresField:
    return FiguresField(label=label, least=0, most=MOST_MONEY, places=2, required=False)


# Wishes and bans.


def _fixed_fields(choices: Any) -> dict[str, forms.Field]:
    items = [
        (ActionKind.BUY, choices.models), (ActionKind.REPAIR, choices.models),
        (ActionKind.TRAIN, choices.skills), (ActionKind.PROVIDE, choices.infrastructure),
    ]  # fmt: skip
    groups = [
        (kind.label, [(f"{kind.value}:{row.code}", f"{kind.label}: {row.name}") for row in rows])
        for kind, rows in items
    ]
    sites = [(EVERYWHERE, _("every site")), *_coded(choices.sites)]
    return {
        "site": _choice(_("Site"), sites),
        "action": _choice(_("Action"), groups),
        "rule": forms.ChoiceField(
            label=_("How often"),
            choices=[(LEAST, _("at least")), (MOST, _("at most"))],
            required=False,
        ),
        "units": FiguresField(
            label=_("Times"), least=0, most=100, required=False,
            help_text=_("Blank: at least once, or at most never."),
        ),
    }  # fmt: skip


def _fixed_answers(rows: Sequence[Values]) -> dict[str, Any]:
    """At least and at most for the same action at the same site are one rule."""
    rules: dict[tuple[str, str], dict[str, Any]] = {}
    for row in rows:
        kind, item = row["action"].split(":", 1)
        site = None if row["site"] == EVERYWHERE else row["site"]
        plain_rule = {"site": site, "kind": kind, "item": item, "at_least": 0, "at_most": None}
        rule = rules.setdefault((row["site"], row["action"]), plain_rule)
        is_ban = row["rule"] == MOST
        usual = 0 if is_ban else 1
        times = usual if row["units"] is None else int(row["units"])
        rule["at_most" if is_ban else "at_least"] = times
    return {"fixed": list(rules.values())}


def _fixed_initial(asked: Mapping[str, Any]) -> Iterable[Values]:
    for rule in asked.get("fixed", ()):
        row = {"site": rule["site"] or EVERYWHERE, "action": f"{rule['kind']}:{rule['item']}"}
        if rule.get("at_least"):
            yield {**row, "rule": LEAST, "units": plain(rule["at_least"])}
        if rule.get("at_most") is not None:
            yield {**row, "rule": MOST, "units": plain(rule["at_most"])}


# Idle units.


def _idle_fields(choices: Any) -> dict[str, forms.Field]:
    units = [
        (item.code, f"{item.device_model.name}, {item.facility.name} ({item.code})")
        for item in choices.idle
    ]
    return {
        "item": _choice(_("Idle unit"), units),
        "to": _choice(_("To"), _coded(choices.sites), blank=_("wherever it helps most")),
        "cost": _money(_("Cost of the move")),
    }


def _idle_answers(rows: Sequence[Values]) -> dict[str, Any]:
    return {
        "idle_units": [
            {"item": row["item"], "to": row["to"] or None, "cost": float(row["cost"] or 0)}
            for row in rows
        ]
    }


def _idle_initial(asked: Mapping[str, Any]) -> Iterable[Values]:
    for unit in asked.get("idle_units", ()):
        cost = plain(unit.get("cost", 0))
        yield {"item": unit["item"], "to": unit.get("to") or "", "cost": cost}


# Models of a class, and bundles.


def _class_fields(choices: Any) -> dict[str, forms.Field]:
    return {
        "class": _choice(_("Class of devices"), _coded(choices.classes)),
        "most": FiguresField(label=_("Models at most"), least=0, most=100, required=False,
                             help_text=_("Blank: one.")),
    }  # fmt: skip


def _class_answers(rows: Sequence[Values]) -> dict[str, Any]:
    return {
        "models_per_class": {
            row["class"]: 1 if row["most"] is None else int(row["most"]) for row in rows
        }
    }


def _class_initial(asked: Mapping[str, Any]) -> Iterable[Values]:
    for code, most in asked.get("models_per_class", {}).items():
        yield {"class": code, "most": plain(most)}


def _bundle_fields(choices: Any) -> dict[str, forms.Field]:
    return {
        "model": _choice(_("Device model"), _coded(choices.models)),
        "skill": _choice(_("Only with training in"), _coded(choices.skills)),
        "infrastructure": _choice(_("Only with"), _coded(choices.infrastructure)),
        "cost": _money(_("Reagents, installation, verification, a unit")),
    }


def _bundle_answers(rows: Sequence[Values]) -> dict[str, Any]:
    """Rows about one model are one bundle; its costs add up."""
    bundles: dict[str, dict[str, Any]] = {}
    for row in rows:
        bundle = bundles.setdefault(
            row["model"],
            {"code": row["model"], "name": gettext("All that belongs to it"),
             "model": row["model"], "skills": [], "infrastructure": [], "cost": 0.0},
        )  # fmt: skip
        for part, key in (("skill", "skills"), ("infrastructure", "infrastructure")):
            if row[part] and row[part] not in bundle[key]:
                bundle[key].append(row[part])
        bundle["cost"] += float(row["cost"] or 0)
    return {"bundles": list(bundles.values())}


def _bundle_initial(asked: Mapping[str, Any]) -> Iterable[Values]:
    for bundle in asked.get("bundles", ()):
        skills, items = bundle["skills"], bundle["infrastructure"]
        for number in range(max(1, len(skills), len(items))):
            yield {
                "model": bundle["model"],
                "skill": skills[number] if number < len(skills) else "",
                "infrastructure": items[number] if number < len(items) else "",
                "cost": plain(bundle["cost"]) if number == 0 else "",
            }


ROWS = (
    Row("fixed", ("site", "action", "rule", "units"), _fixed_fields, ("site", "action"),
        _fixed_answers, _fixed_initial),
    Row("idle", ("item", "to", "cost"), _idle_fields, ("item",), _idle_answers, _idle_initial),
    Row("class", ("class", "most"), _class_fields, ("class",), _class_answers, _class_initial),
    Row("bundle", ("model", "skill", "infrastructure", "cost"), _bundle_fields, ("model",),
        _bundle_answers, _bundle_initial),
)  # fmt: skip
