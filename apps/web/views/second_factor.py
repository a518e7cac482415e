"""Setting up one-time codes, and living without the device that makes them."""

import io

import pyotp
import segno
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from apps.accounts.selectors import begun_second_factor, has_second_factor, must_add_second_factor
from apps.accounts.services import (
    begin_second_factor,
    confirm_second_factor,
    drop_second_factor,
    passes_second_factor,
    renew_recovery_codes,
)
from apps.web.forms.accounts import CodeForm

ISSUER = "Benchward"


@never_cache
@login_required
def second_factor(request: HttpRequest) -> HttpResponse:
    """Show the secret for the device, and ask for the first code."""
    if has_second_factor(request.user):
        return render(request, "web/accounts/second_factor.html", {"form": CodeForm()})
    factor = begun_second_factor(request.user)
    form = CodeForm(request.POST or None)
    if request.method == "POST" and factor is None:
        begin_second_factor(user=request.user, by=request.user)
        return redirect("web:second-factor")
    if factor and form.is_valid():
        code = form.cleaned_data["code"]
        codes = confirm_second_factor(user=request.user, code=code, by=request.user)
        if codes:
            return render(request, "web/accounts/recovery_codes.html", {"codes": codes})
        form.add_error(
            "code", gettext("This code is not right. Is the clock of your device right?")
        )
    values = {
        "form": form,
        "factor": factor,
        "picture": _picture(request, factor.secret) if factor else None,
        "must_add": must_add_second_factor(request.user),
    }
    return render(request, "web/accounts/second_factor_add.html", values)


@never_cache
@require_POST
@login_required
def recovery_codes_renew(request: HttpRequest) -> HttpResponse:
    """Ten new recovery codes, against a code of the device."""
    if not _proven(request):
        return redirect("web:second-factor")
    codes = renew_recovery_codes(user=request.user, by=request.user)
    return render(request, "web/accounts/recovery_codes.html", {"codes": codes})


@require_POST
@login_required
def second_factor_drop(request: HttpRequest) -> HttpResponse:
    """Go back to the password alone, against a code of the device."""
    if not _proven(request):
        return redirect("web:second-factor")
    drop_second_factor(user=request.user, by=request.user)
    messages.success(request, gettext("You are asked for your password alone again."))
    return redirect("web:account")


def _proven(request: HttpRequest) -> bool:
    form = CodeForm(request.POST)
    if form.is_valid() and passes_second_factor(
        user=request.user, code=form.cleaned_data["code"], by=request.user
    ):
        return True
    messages.error(request, gettext("This code is not right, or was used before."))
    return False


def _picture(request: HttpRequest, secret: str) -> SafeString:
    """The secret as a matrix code (ISO/IEC 18004) that authenticator programs read."""
    address = pyotp.TOTP(secret).provisioning_uri(
        name=request.user.get_username(), issuer_name=ISSUER
    )
    drawing = io.BytesIO()
    segno.make(address, error="m").save(
        drawing, kind="svg", xmldecl=False, svgns=False, scale=5, border=4,
        title=gettext("Matrix code of the secret"), svgclass="matrix-code", lineclass=None,
    )  # fmt: skip
    return mark_safe(drawing.getvalue().decode())  # noqa: S308 - drawn by the library from our text
