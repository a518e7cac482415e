"""How far a plan gets in what it seeks before the most tests: sets, targets, the worst-off."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext

from apps.facilities.choices import Level
from apps.web.figures import figures, percent_text


@dataclass(frozen=True)
class Reached:
    """``sets`` in a sentence, the tests that are missed; targets and groups as rows."""

    sets: str
    missed: tuple[tuple[str, str, str, str], ...]
    targets: tuple[tuple[str, str, str], ...]
    groups: tuple[tuple[str, str], ...]


def reached(run: Any, names: Mapping[str, str]) -> Reached | None:
    """``names`` are those of sites by code; ``None`` where nothing was sought first."""
    asked = run.summary.get("asked", {})
    sets, targets = asked.get("minimum_sets", {"pairs": 0}), asked.get("targets", [])
    groups = asked.get("groups", [])
    if not (sets["pairs"] or targets or groups):
        return None
    said = ""
    if sets["pairs"]:
        said = gettext("%(reached)s of %(all)s tests at sites of the minimum sets are reached.") % {
            "reached": figures(sets["reached"]),
            "all": figures(sets["pairs"]),
        }
    return Reached(
        said,
        tuple(
            (names.get(m["site"], m["site"]), m["test"], percent_text(m["share"]), m["why"])
            for m in sets.get("missed", ())
        ),
        tuple(
            (_of(target), percent_text(target["share"], 1), percent_text(target["reached"], 1))
            for target in targets
        ),
        tuple((_group(group), _share(group["share"])) for group in groups),
    )


def _of(target: Mapping[str, str]) -> str:
    return target["area"] or target["programme"] or gettext("Whole district")


def _group(group: Mapping[str, Any]) -> str:
    code = group["code"]
    if group["name"] or not code.isdecimal() or int(code) not in Level.values:
        return group["name"] or code
    return str(Level(int(code)).label)


def _share(share: float | None) -> str:
    return "–" if share is None else percent_text(share, 1)
