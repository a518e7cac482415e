"""Who may sign in, invitations, and accepting one."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from apps.accounts.choices import Role
from apps.accounts.rules import INVITABLE, may
from apps.accounts.selectors import invitations_by, open_invitation, people
from apps.accounts.services import (
    InvitationError,
    accept_invitation,
    close_account,
    drop_second_factor,
    invite,
    withdraw_invitation,
)
from apps.facilities.selectors import areas_for, areas_with_codes
from apps.web.forms.accounts import AcceptForm, InvitationForm
from apps.web.views.access import permitted

PAGE_SIZE = 50


@permitted("people.view")
def person_list(request: HttpRequest) -> HttpResponse:
    """Everybody who may sign in, with role, areas and second factor."""
    rows = people().select_related("second_factor").prefetch_related("stewardships__area")
    values = {
        "page": Paginator(rows, PAGE_SIZE).get_page(request.GET.get("page")),
        "may_change": may(request.user, "people.change"),
        "may_invite": may(request.user, "people.invite"),
    }
    return render(request, "web/people/list.html", values)


@require_POST
@permitted("people.change")
def person_close(request: HttpRequest, username: str) -> HttpResponse:
    """Let somebody sign in no more."""
    person = get_object_or_404(people(), username=username)
    try:
        close_account(user=person, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
    else:
        messages.success(request, gettext("%(name)s can sign in no more.") % {"name": username})
    return redirect("web:person-list")


@require_POST
@permitted("people.change")
def person_drop_factor(request: HttpRequest, username: str) -> HttpResponse:
    """Take the second factor of somebody who lost device and recovery codes."""
    person = get_object_or_404(people(), username=username)
    drop_second_factor(user=person, by=request.user, why="device and recovery codes lost")
    said = gettext("%(name)s is asked for the password alone.") % {"name": username}
    messages.success(request, said)
    return redirect("web:person-list")


@never_cache
@permitted("people.invite")
def invitation_list(request: HttpRequest) -> HttpResponse:
    """One's invitations, and the form for another; its link is shown this once."""
    roles = Role if request.user.is_superuser else sorted(INVITABLE[Role(request.user.role)])
    areas = list(areas_for(request.user))
    form = InvitationForm(request.POST or None, roles=roles, areas=areas)
    values: dict[str, Any] = {"form": form}
    if form.is_valid():
        chosen = [area for area in areas if area.code in form.cleaned_data["areas"]]
        _, code = invite(
            person=form.cleaned_data["person"],
            role=form.cleaned_data["role"],
            areas=chosen,
            by=request.user,
        )
        values |= {
            "person": form.cleaned_data["person"],
            "link": request.build_absolute_uri(reverse("web:invitation-accept", args=[code])),
            "form": InvitationForm(roles=roles, areas=areas),
        }
    page = Paginator(invitations_by(request.user), PAGE_SIZE).get_page(request.GET.get("page"))
    return render(request, "web/people/invitations.html", {**values, "page": page})


@require_POST
@permitted("people.invite")
def invitation_withdraw(request: HttpRequest, invitation_id: int) -> HttpResponse:
    """Make an open invitation void."""
    invitation = get_object_or_404(invitations_by(request.user), pk=invitation_id)
    withdraw_invitation(invitation=invitation, by=request.user)
    messages.success(request, gettext("The invitation is void."))
    return redirect("web:invitation-list")


@never_cache
def invitation_accept(request: HttpRequest, code: str) -> HttpResponse:
    """Choose a name and a password; the account gets what the invitation says."""
    invitation = open_invitation(code)
    if invitation is None:
        return render(request, "web/people/invitation_void.html", status=410)
    if request.user.is_authenticated:
        raise PermissionDenied
    form = AcceptForm(request.POST or None)
    if form.is_valid():
        try:
            accept_invitation(
                code=code,
                username=form.cleaned_data["username"],
                password=form.cleaned_data["password"],
                areas=areas_with_codes(invitation.area_codes),
            )
        except InvitationError as refused:
            form.add_error(None, str(refused))
        except ValidationError as refused:
            _add_errors(form, refused)
        else:
            messages.success(request, gettext("Your account is made. Sign in with it."))
            return redirect("web:sign-in")
    values = {"form": form, "invitation": invitation}
    values["areas"] = areas_with_codes(invitation.area_codes)
    return render(request, "web/people/accept.html", values)


def _add_errors(form: AcceptForm, refused: ValidationError) -> None:
    """A name that is taken beside the name, a weak password beside the password."""
    if hasattr(refused, "error_dict"):
        for field, errors in refused.message_dict.items():
            form.add_error(field if field in form.fields else None, errors)
    else:
        form.add_error("password", refused)
