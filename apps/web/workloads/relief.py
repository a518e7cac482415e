"""What would make up for the time that is short at a site."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext, ngettext

from apps.coverage.choices import Binding
from apps.web.figures import figures

# Tests that are named because they take most of the staff's time.
NAMED = 3


def units_in_words(machine: Mapping[str, Any]) -> str:
    """How many units of a class work, and how many could be repaired."""
    units, broken = round(machine["units"]), round(machine["broken_units"])
    text = ngettext("%(n)d working unit", "%(n)d working units", units) % {"n": units}
    if broken:
        text += ngettext(", %(n)d that can be repaired", ", %(n)d that can be repaired", broken) % {
            "n": broken
        }
    return text


def relief(workload: Any) -> Iterator[str]:
    """What would make up for what is short, the nearest first."""
    detail = workload.detail
    hours = {"hours": figures(detail["short_hours"]) if detail["short_hours"] >= 1 else "1"}
    if workload.binding == Binding.STAFF:
        yield gettext("%(hours)s more staff hours a year for testing") % hours
        yield from _longest(detail["tests"])
    else:
        broken = [
            machine
            for machine in detail["machines"]
            if machine["name"] in detail["binding_names"] and machine["broken_units"]
        ]
        for machine in broken:
            yield gettext("Repair: %(name)s, %(units)s") % {
                "name": capfirst(machine["name"]),
                "units": units_in_words(machine),
            }
        yield gettext("Another unit; %(hours)s more machine hours a year are needed") % hours
    lacking = workload.asked - workload.doable
    yield gettext("Sending on what there is no time for, %(tests)s tests a year") % {
        "tests": figures(lacking)
    }


def _longest(tests: list[Mapping[str, Any]]) -> Iterator[str]:
    longest = sorted(tests, key=lambda test: -test["staff_hours"])[:NAMED]
    named = "; ".join(
        gettext("%(test)s by %(method)s, %(hours)s h")
        % {
            "test": test["test_name"],
            "method": test["method_name"],
            "hours": figures(test["staff_hours"]),
        }
        for test in longest
    )
    yield gettext("Fuller batches or quicker methods; most time goes to %(tests)s") % {
        "tests": named
    }
