from django.contrib import messages
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.http import HttpResponse
from django.urls import reverse_lazy
from django.utils.translation import gettext

from apps.web.forms.accounts import WINDOW_SECONDS, SignInForm


class SignIn(LoginView):
    """The sign-in page; answers 429 while a name is braked."""

    template_name = "web/accounts/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_invalid(form)
        if form.is_throttled:
            response.status_code = 429
            response.headers["Retry-After"] = str(WINDOW_SECONDS)
        return response


class PasswordChange(PasswordChangeView):
    template_name = "web/accounts/password_change.html"
    success_url = reverse_lazy("web:site-list")

    def form_valid(self, form) -> HttpResponse:
        messages.success(self.request, gettext("Your password was changed."))
        return super().form_valid(form)
