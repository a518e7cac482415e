"""The own account: role, areas, second factor, and the browsers in which one is signed in."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_POST

from apps.accounts.selectors import (
    has_second_factor,
    must_add_second_factor,
    open_sessions,
    recovery_codes_left,
)
from apps.accounts.services import end_other_sessions, end_session
from apps.facilities.selectors import stewarded_areas


@login_required
def account(request: HttpRequest) -> HttpResponse:
    """The own account: role, areas, second factor, and where one is signed in."""
    values: dict[str, Any] = {
        "areas": stewarded_areas(request.user),
        "second_factor": has_second_factor(request.user),
        "must_add": must_add_second_factor(request.user),
        "codes_left": recovery_codes_left(request.user),
        "sessions": open_sessions(request.user),
        "here": request.session.session_key,
    }
    return render(request, "web/accounts/account.html", values)


@require_POST
@login_required
def session_end(request: HttpRequest, session_id: int) -> HttpResponse:
    """Sign out of one other browser."""
    session = get_object_or_404(open_sessions(request.user), pk=session_id)
    end_session(user=request.user, session=session, by=request.user)
    messages.success(request, gettext("That browser is signed out."))
    return redirect("web:account")


@require_POST
@login_required
def session_end_others(request: HttpRequest) -> HttpResponse:
    """Sign out everywhere but here."""
    ended = end_other_sessions(user=request.user, kept=request.session.session_key, by=request.user)
    said = ngettext(
        "%(n)d other browser is signed out.", "%(n)d other browsers are signed out.", ended
    )
    messages.success(request, said % {"n": ended})
    return redirect("web:account")
