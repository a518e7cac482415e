"""Which district a page is about."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest

from apps.accounts.rules import may
from apps.facilities.selectors import districts_for


@dataclass(frozen=True)
class Scope:
    """``district`` is the one asked for, else the first; ``None`` where the reader has none."""

    district: Any | None
    districts: tuple[Any, ...]


def scope_of(request: HttpRequest) -> Scope:
    """The reader's districts and the one that ``district=`` names; one out of reach is 404."""
    districts = tuple(districts_for(request.user))
    code = request.POST.get("district") or request.GET.get("district")
    if not code:
        return Scope(districts[0] if districts else None, districts)
    for district in districts:
        if district.code == code:
            return Scope(district, districts)
    raise Http404


def required_district(request: HttpRequest) -> Any:
    """The district asked for; 404 where the reader has none."""
    district = scope_of(request).district
    if district is None:
        raise Http404
    return district


def own_district(request: HttpRequest) -> Any | None:
    """The district whose facts an open page may add for a reader who is signed in, if any."""
    return scope_of(request).district if may(request.user, "register.view") else None
