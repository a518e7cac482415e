"""What is wrong with steps, consumables, limits and studies, beyond what their fields say."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from apps.catalogue import models
from apps.catalogue.choices import StepKind
from apps.imports.adapters.known import Known

Row = Mapping[str, Any]
Lines = Sequence[tuple[int, Row]]
# A sensitivity is printed to a tenth of a percent, the counts behind it are whole.
SHARE_TOLERANCE = 0.0006


def check_spin(row: Row, known: Known) -> Iterator[str]:
    low, high = row["rcf_g_low"], row["rcf_g_high"]
    if (low is None) != (high is None) or (low is not None and low > high):
        yield "give rcf_g_low and rcf_g_high, the lower first, or leave both empty."
    if row["minutes_low"] > row["minutes_high"]:
        yield "minutes_low is greater than minutes_high. Give the shorter time first."


def check_step(row: Row, known: Known) -> Iterator[str]:
    if row["spin"] is not None and row["kind"] != StepKind.SPIN:
        yield f"spin is given, but the step is of the kind {row['kind']}. Leave one of them."
    if row["kind"] == StepKind.SPIN and (row["spin"] is None or row["need"] is None):
        yield "a step that spins names its spin procedure and the need for a centrifuge."


def check_radii(rows: Lines, known: Known) -> Iterator[tuple[int, str]]:
    """A procedure at one radius never asks a device for a force at another."""
    asked = defaultdict(set)
    # In no order: that of the table joins tables just filled, which PostgreSQL has not counted.
    forces = models.Requirement.objects.filter(attribute__ucum=models.FORCE).order_by()
    for need, attribute, radius in forces.values_list(
        "need", "attribute__code", "attribute__radius"
    ):
        asked[need].add((attribute, radius))
    for line, row in rows:
        if row["spin"] is None or row["need"] is None:
            continue
        stated = known.fact(models.SpinProcedure, row["spin"], "radius")
        for attribute, radius in sorted(asked[row["need"]]):
            if radius != stated:
                yield (
                    line,
                    (
                        f"the spin is stated at {stated}, but the need asks for {attribute} at"
                        f" {radius}. Convert one of them: a force differs from radius to radius."
                    ),
                )


def check_sums(rows: Lines, known: Known) -> Iterator[tuple[int, str]]:
    """A method lists all its consumables or none, so that their sum is its cost."""
    first: dict[int, int] = {}
    sums: defaultdict[int, Decimal] = defaultdict(Decimal)
    for line, row in rows:
        method = row["method"]
        first.setdefault(method, line)
        price = known.fact(models.Consumable, row["consumable"], "unit_price")
        sums[method] += row["quantity"] * price
    for method, line in first.items():
        stated = known.fact(models.Method, method, "consumable_cost")
        # The smallest amount that money is kept in.
        if abs(sums[method] - stated) >= Decimal("0.0001"):
            code = known.name(models.Method, method)
            cost, total = _plain(stated), _plain(sums[method])
            said = f"consumable_cost of {code} is {cost}, but its consumables come to {total}."
            yield line, f"{said} List them all, or correct one of the two."


def _plain(amount: Decimal) -> str:
    return f"{amount.normalize():f}"


def check_range(row: Row, known: Known) -> Iterator[str]:
    if row["low"] > row["high"]:
        yield f"low is {row['low']:g} and high {row['high']:g}, expected the lower first."


def check_limit(row: Row, known: Known) -> Iterator[str]:
    if sum(row[name] is not None for name in ("device_class", "method", "test")) != 1:
        yield "name one of device_class, method and test, and leave the others empty."
    low, high = row["low"], row["high"]
    if low is None and high is None:
        yield "low and high are both empty, expected one of them at least."
    if low is not None and high is not None and low > high:
        yield f"low is {low:g} and high {high:g}, expected the lower first."


def check_study(row: Row, known: Known) -> Iterator[str]:
    if (row["device_model"] is None) == (row["method"] is None):
        yield "name a device_model or a method, one of the two."
    for name, found, missed in (
        ("sensitivity", "true_positive", "false_negative"),
        ("specificity", "true_negative", "false_positive"),
    ):
        yield from _interval(name, row)
        if row[name] is None or row[found] is None or row[missed] is None:
            continue
        counted = row[found] / max(1, row[found] + row[missed])
        if abs(counted - row[name]) > SHARE_TOLERANCE:
            yield f"{name} is {row[name]:g}, but {found} and {missed} give {counted:.4f}."


def _interval(name: str, row: Row) -> Iterator[str]:
    low, high = row[f"{name}_low"], row[f"{name}_high"]
    if (low is None) != (high is None):
        yield f"give {name}_low and {name}_high, or leave both empty."
    elif low is not None:
        figure = low if row[name] is None else row[name]
        if not low <= figure <= high:
            yield f"{name} must lie between {name}_low and {name}_high."
