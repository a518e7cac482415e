"""The two forms on the page where a plan is drafted: its money and limits, and what it seeks."""

from typing import Any

from django.http import HttpRequest

from apps.catalogue.selectors import (
    device_classes,
    device_models,
    infrastructure,
    programmes,
    skills,
    tests,
)
from apps.facilities.selectors import areas_with_sites, facilities_for
from apps.inventory.choices import Condition
from apps.inventory.selectors import equipment_in
from apps.plans.selectors import plan_for
from apps.web.forms.asking import AskingForm, Choices, asking_initial
from apps.web.forms.numbers import FIGURES
from apps.web.forms.plans import DraftForm, initial_of
from apps.web.views.access import found


def draft_forms(request: HttpRequest, district: Any) -> tuple[DraftForm, AskingForm]:
    """Both forms, filled with what was sent, else from the plan that ``like=`` names.

    ``capital=`` in the address is the money to start from, so that a budget can be a link.
    """
    sent = request.POST if request.method == "POST" else None
    areas = tuple(areas_with_sites(request.user, district))
    money = tuple(programmes())
    initial, asked = _like(request)
    form = DraftForm(sent, initial=initial, programmes=money, areas=areas)
    choices = Choices(
        areas=areas,
        programmes=money,
        tests=tuple(tests()),
        sites=tuple(facilities_for(request.user).within(district.path).order_by("name")),
        models=tuple(device_models().prefetch_related(None).order_by("name")),
        skills=tuple(skills()),
        infrastructure=tuple(infrastructure().prefetch_related(None)),
        classes=tuple(device_classes()),
        idle=tuple(equipment_in(request.user, district, condition=Condition.IDLE)),
    )
    return form, AskingForm(sent, initial=asking_initial(asked), choices=choices)


def _like(request: HttpRequest) -> tuple[dict[str, Any], dict[str, Any]]:
    """The answers of the plan that ``like=`` names, to start from, and the ``capital=``."""
    capital = request.GET.get("capital", "")
    money = {"capital": capital} if FIGURES.fullmatch(capital) else {}
    number = request.GET.get("like", "")
    if not number.isdecimal():
        return money, {}
    plan = found(lambda: plan_for(request.user, int(number)))
    return initial_of(plan) | money, plan.asked
