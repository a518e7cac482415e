"""What a plan asks beyond the most tests, in words."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext

from apps.facilities.choices import Level
from apps.plans.choices import ActionKind
from apps.web.figures import money_text, percent_text
from apps.web.figures import share_text as share_words

Names = Mapping[str, Mapping[str, str]]


def asked_in_words(asked: Mapping[str, Any], names: Names, currency: str) -> list[tuple[str, str]]:
    """Label and text of each thing asked; ``names``: kind of thing to code to name."""
    parts = (
        _aim(asked, names),
        _sets(asked, names),
        _fixed(asked, names),
        _idle(asked, names, currency),
        _bundles(asked, names, currency),
        _rest(asked, names),
    )
    return [pair for part in parts for pair in part]


def _aim(asked: Mapping[str, Any], names: Names) -> Iterable[tuple[str, str]]:
    aim = asked.get("aim", {"kind": "most"})
    label = gettext("Sought first")
    if aim["kind"] == "worst_first":
        areas = aim["over"] == "areas"
        yield label, gettext("the worst-off area") if areas else gettext("the worst-off level")
    for target in aim.get("targets", ()):
        of = (
            names["areas"].get(target["area"])
            or names["programmes"].get(target["programme"])
            or gettext("whole district")
        )
        yield (
            gettext("Target for the least money"),
            gettext("%(of)s: %(share)s") % {"of": of, "share": share_words(target["share"])},
        )


def _sets(asked: Mapping[str, Any], names: Names) -> Iterable[tuple[str, str]]:
    for each in asked.get("minimum_sets", ()):
        levels = ", ".join(
            str(Level(level).label) if level in Level.values else str(level)
            for level in each["levels"]
        )
        tests = ", ".join(names["tests"].get(test, test) for test in each["tests"])
        yield (
            gettext("Before anything else"),
            gettext("%(levels)s: %(tests)s (%(share)s of demand)")
            % {"levels": levels, "tests": tests, "share": share_words(each["share"])},
        )


def _fixed(asked: Mapping[str, Any], names: Names) -> Iterable[tuple[str, str]]:
    for rule in asked.get("fixed", ()):
        site = names["sites"].get(rule["site"], rule["site"]) or gettext("every site")
        kind = str(ActionKind(rule["kind"]).label).lower()
        what = f"{kind} {names['items'].get(rule['item'], rule['item'])}"
        words = {"site": site, "what": what}
        if rule.get("at_least"):
            text = gettext("%(site)s: %(what)s, at least %(times)d times")
            yield gettext("Must be done"), text % {**words, "times": rule["at_least"]}
        if rule.get("at_most") == 0:
            yield gettext("Must not be done"), gettext("%(site)s: %(what)s") % words
        elif rule.get("at_most") is not None:
            text = gettext("%(site)s: %(what)s, at most %(times)d times")
            yield gettext("No more than"), text % {**words, "times": rule["at_most"]}


def _idle(asked: Mapping[str, Any], names: Names, currency: str) -> Iterable[tuple[str, str]]:
    for unit in asked.get("idle_units", ()):
        to = unit.get("to")
        words = {
            "item": unit["item"],
            "to": names["sites"].get(to, to) if to else gettext("wherever it helps most"),
            "cost": money_text(unit.get("cost", 0), currency),
        }
        yield gettext("May be moved"), gettext("%(item)s to %(to)s, for %(cost)s") % words


def _bundles(asked: Mapping[str, Any], names: Names, currency: str) -> Iterable[tuple[str, str]]:
    for each in asked.get("bundles", ()):
        parts = [names["items"].get(c, c) for c in (*each["skills"], *each["infrastructure"])]
        words = {
            "model": names["items"].get(each["model"], each["model"]),
            "parts": ", ".join([*parts, money_text(each["cost"], currency)]),
        }
        yield gettext("Only together"), gettext("%(model)s with %(parts)s") % words


def _rest(asked: Mapping[str, Any], names: Names) -> Iterable[tuple[str, str]]:
    for code, most in asked.get("models_per_class", {}).items():
        words = {"class": names["classes"].get(code, code), "most": most}
        yield gettext("Different models at most"), gettext("%(class)s: %(most)d") % words
    if "supervised_share" in asked:
        yield gettext("Supervised"), percent_text(asked["supervised_share"])
