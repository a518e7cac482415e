"""Signing in, with a code where one is asked for; the own account and its sessions."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext

from apps.accounts.selectors import (
    has_second_factor,
    must_add_second_factor,
    people,
)
from apps.accounts.services import (
    note_session,
    passes_second_factor,
)
from apps.web.forms.accounts import WINDOW_SECONDS, Brake, CodeForm, SignInForm

WAITING = "waiting_for_code"
CODE_WITHIN_SECONDS = 300


class SignIn(LoginView):
    """The sign-in page; answers 429 while a name is braked."""

    template_name = "web/accounts/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, or ask for a code first where the person has a second factor."""
        user = form.get_user()
        if not has_second_factor(user):
            return _signed_in(self.request, user, self.get_success_url())
        self.request.session[WAITING] = {
            "user": user.pk,
            "since": timezone.now().timestamp(),
            "next": self.get_redirect_url(),
        }
        return redirect("web:sign-in-code")

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_invalid(form)
        return _braked(response) if form.is_throttled else response


class PasswordChange(PasswordChangeView):
    template_name = "web/accounts/password_change.html"
    success_url = reverse_lazy("web:account")

    def form_valid(self, form) -> HttpResponse:
        messages.success(self.request, gettext("Your password was changed."))
        response = super().form_valid(form)
        # The session got another key, by which the list of sessions must know it.
        note_this_session(self.request)
        return response


def sign_in_code(request: HttpRequest) -> HttpResponse:
    """The second step: a code, within five minutes of the password."""
    waiting = request.session.get(WAITING, {})
    user = people().filter(pk=waiting.get("user"), is_active=True).first()
    if user is None or timezone.now().timestamp() > waiting["since"] + CODE_WITHIN_SECONDS:
        request.session.pop(WAITING, None)
        messages.warning(request, gettext("Give your name and password first."))
        return redirect("web:sign-in")
    form = CodeForm(request.POST or None)
    brake = Brake("code", str(user.pk))
    status = 200
    if form.is_valid():
        try:
            brake.check()
        except ValidationError as refused:
            form.add_error("code", refused)
            status = 429
        else:
            if passes_second_factor(user=user, code=form.cleaned_data["code"], by=user):
                brake.release()
                del request.session[WAITING]
                return _signed_in(request, user, _safe(request, waiting["next"]))
            brake.note_refusal()
            form.add_error("code", gettext("This code is not right, or was used before."))
    response = render(request, "web/accounts/sign_in_code.html", {"form": form}, status=status)
    return _braked(response) if status == 429 else response


def _signed_in(request: HttpRequest, user: Any, target: str) -> HttpResponse:
    login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    note_this_session(request)
    return redirect("web:second-factor" if must_add_second_factor(user) else target)


def note_this_session(request: HttpRequest) -> None:
    if request.session.session_key is None:
        request.session.save()
    note_session(
        user=request.user,
        session_key=request.session.session_key,
        browser=request.headers.get("User-Agent", ""),
        by=request.user,
    )


def _safe(request: HttpRequest, target: str) -> str:
    """``target`` if it is a page of ours, else the first page."""
    hosts = {request.get_host()}
    if target and url_has_allowed_host_and_scheme(target, hosts, require_https=request.is_secure()):
        return target
    return resolve_url("web:home")


def _braked(response: HttpResponse) -> HttpResponse:
    response.status_code = 429
    response.headers["Retry-After"] = str(WINDOW_SECONDS)
    return response
