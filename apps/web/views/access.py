"""Who may open a page: signed in, with all that the role asks for, and permitted the deed."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from django.contrib.auth.decorators import login_required
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from apps.accounts.rules import Deed, may
from apps.accounts.selectors import must_add_second_factor

Thing = TypeVar("Thing")
View = Callable[..., HttpResponse]


def permitted(deed: Deed) -> Callable[[View], View]:
    """Send strangers to the sign-in; answer 403 to a role that may not do ``deed``."""

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            if must_add_second_factor(request.user):
                return redirect("web:second-factor")
            if not may(request.user, deed):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return login_required(guarded)

    return guard


def found(look_up: Callable[[], Thing]) -> Thing:
    """What ``look_up`` returns; 404 where it is not there, or out of the reader's reach."""
    try:
        return look_up()
    except ObjectDoesNotExist as missing:
        raise Http404 from missing
