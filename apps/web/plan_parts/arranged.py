"""The actions of a plan, by site, by kind, or by who may pay for them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from apps.plans.choices import ActionKind
from apps.web.results import total_cost

ARRANGED = (("site", _("by site")), ("kind", _("by kind")), ("fund", _("by who may pay")))


@dataclass(frozen=True)
class Group:
    """Actions under one heading; ``facility`` where that is a site."""

    name: str
    lines: tuple[Any, ...]
    facility: Any | None = None

    @property
    def cost(self) -> Decimal:
        return total_cost(self.lines)


def arranged(
    lines: Iterable[Any],
    by: str,
    funds: Mapping[str, list[str]],
    programmes: Mapping[str, str],
) -> list[Group]:
    """``funds``: model to earmarks that may pay for it; ``programmes``: code to name."""
    groups: dict[Any, list[Any]] = {}
    for line in lines:
        groups.setdefault(_key(line, by, funds), []).append(line)
    if by == "site":
        return [Group(site.name, tuple(of), site) for site, of in groups.items()]
    order = sorted(groups, key=lambda key: (_place(key, by), key))
    return [Group(_name(key, by, programmes), tuple(groups[key])) for key in order]


def _key(line: Any, by: str, funds: Mapping[str, list[str]]) -> Any:
    if by == "kind":
        return line.kind
    if by == "fund":
        payable = line.kind in (ActionKind.BUY, ActionKind.REPAIR)
        return tuple(funds.get(line.item_code, ())) if payable else ()
    return line.facility


def _place(key: Any, by: str) -> int:
    return ActionKind.values.index(key) if by == "kind" else -len(key)


def _name(key: Any, by: str, programmes: Mapping[str, str]) -> str:
    if by == "kind":
        return str(ActionKind(key).label)
    if not key:
        return gettext("Only from the general money")
    names = ", ".join(programmes.get(code, code) for code in key)
    return gettext("Earmarked money (%(programmes)s), then general") % {"programmes": names}
