"""Whether a site has the time, in words: what runs out first, and what would relieve it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from django.utils.translation import gettext

from apps.coverage.choices import Binding, Use
from apps.web.figures import figures, percent_text
from apps.web.workloads.relief import relief, units_in_words

EVERYTHING = 0.9995


class SiteWorkload(Protocol):
    """What is asked of it; ``coverage.selectors.workload_at`` gives such."""

    asked: float
    doable: float
    binding: str
    binding_share: float | None
    detail: Mapping[str, Any]


@dataclass(frozen=True)
class Resource:
    """Staff, or the machines of one class: hours a year, and how busy that makes them."""

    name: str
    note: str
    needed_hours: float
    available_hours: float
    used_share: float | None
    words: str
    is_binding: bool


@dataclass(frozen=True)
class Time:
    """All that a site's page says about time."""

    answer: str
    whose: str
    resources: tuple[Resource, ...]
    relief: tuple[str, ...]
    short_tests: tuple[Mapping[str, Any], ...]


def time_of(workload: SiteWorkload) -> Time:
    """``workload`` ready to be shown."""
    return Time(
        answer=_answer(workload),
        whose=_whose(workload.detail),
        resources=tuple(_resources(workload)),
        relief=tuple(relief(workload)) if _is_short(workload) else (),
        short_tests=tuple(
            test for test in workload.detail["tests"] if test["doable"] < test["asked"] * EVERYTHING
        ),
    )


def _is_short(workload: SiteWorkload) -> bool:
    return workload.binding_share is not None and workload.binding_share < 1


def _answer(workload: SiteWorkload) -> str:
    if workload.binding_share is None:
        return gettext("Nothing that takes time is asked of this site.")
    said = {
        "asked": figures(workload.asked),
        "doable": figures(workload.doable),
        "first": _binding(workload),
    }
    if _is_short(workload):
        said["share"] = percent_text(workload.doable / workload.asked)
        return (
            gettext(
                "Not for all: of the %(asked)s tests a year that it is equipped for there is time"
                " for %(doable)s (%(share)s). What is short is %(first)s."
            )
            % said
        )
    said["times"] = figures(workload.binding_share, 1)
    return (
        gettext(
            "Yes: there is time for all %(asked)s tests a year that it is equipped for. First to"
            " run out would be %(first)s, if %(times)s times as much were asked."
        )
        % said
    )


def _binding(workload: SiteWorkload) -> str:
    if workload.binding == Binding.STAFF:
        return gettext("staff time")
    return gettext("time on: %(machines)s") % {
        "machines": ", ".join(workload.detail["binding_names"])
    }


def _whose(detail: Mapping[str, Any]) -> str:
    return gettext(
        "%(own)s are for its own people and %(others)s for those of other sites. Of what its own"
        " people need, %(away)s more are done elsewhere and %(undone)s nowhere in reach."
    ) % {
        "own": figures(detail["own"]),
        "others": figures(detail["from_others"]),
        "away": figures(detail["sent_away"]),
        "undone": figures(detail["undone"]),
    }


def _resources(workload: SiteWorkload) -> Iterator[Resource]:
    detail = workload.detail
    yield _resource(gettext("Staff"), "", detail["staff"], workload.binding == Binding.STAFF)
    binding = detail["binding_names"] if workload.binding == Binding.MACHINE else []
    busiest_first = sorted(detail["machines"], key=lambda each: -_use(each))
    for machine in busiest_first:
        yield _resource(
            machine["name"], units_in_words(machine), machine, machine["name"] in binding
        )


def _use(resource: Mapping[str, Any]) -> float:
    return float("inf") if resource["used_share"] is None else resource["used_share"]


def _resource(name: str, note: str, values: Mapping[str, Any], is_binding: bool) -> Resource:
    share = values["used_share"]
    use = Use(values["band"]).label
    return Resource(
        name=name,
        note=note,
        needed_hours=values["needed_hours"],
        available_hours=values["available_hours"],
        used_share=share,
        words=f"{percent_text(share)}, {use}" if share is not None else gettext("no time at all"),
        is_binding=is_binding,
    )
