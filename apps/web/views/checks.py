"""Claims about devices, held against physics and the catalogue. Open to every visitor.

The forms are asked by GET, so that an answer is an address that can be kept and passed on.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from apps.catalogue.selectors import methods, spin_procedures
from apps.web.claims import drawn_bands, spin_answer
from apps.web.forms.checks import SpinForm
from apps.web.forms.light import MicroscopeForm, PhotometerForm
from apps.web.microscopes import microscope_answer
from apps.web.photometers import photometer_answer
from apps.web.spin_drawing import SPEED_TABLE_RPM, TABLE_RADII_CM, draw_spin, force_table
from apps.web.spins import method_choices, spins

View = Callable[[HttpRequest], HttpResponse]


def without_blanks(view: View) -> View:
    """Answer under the shortest address: what was left blank does not stand in it."""

    @wraps(view)
    def shortened(request: HttpRequest) -> HttpResponse:
        said = request.GET.copy()
        for name, values in request.GET.lists():
            if not any(value.strip() for value in values):
                del said[name]
        if said == request.GET:
            return view(request)
        return redirect(f"{request.path}?{said.urlencode()}" if said else request.path)

    return shortened


@require_safe
@without_blanks
def spin_check(request: HttpRequest) -> HttpResponse:
    """A claim about a centrifuge: is it possible, and for what would it do?"""
    known = spins(spin_procedures())
    form = SpinForm(request.GET or None, procedures=method_choices(known))
    answer = None
    if form.says_something:
        answer = spin_answer(known, form.claim(), method=form.cleaned_data["procedure"])
    values: dict[str, Any] = {
        "form": form,
        "answer": answer,
        "address": request.build_absolute_uri(),
        "spins": answer.spins if answer else known,
        "drawing": answer.drawing if answer else draw_spin(drawn_bands(known)),
        "radii_cm": TABLE_RADII_CM,
        "forces": force_table(SPEED_TABLE_RPM, TABLE_RADII_CM),
    }
    return render(request, "web/devices/check.html", values)


@require_safe
@without_blanks
def microscope_check(request: HttpRequest) -> HttpResponse:
    """A claim about a microscope: what does it resolve, and what would it show?"""
    form = MicroscopeForm(request.GET or None)
    values: dict[str, Any] = {"form": form, "address": request.build_absolute_uri()}
    if form.says_something:
        values["answer"] = microscope_answer(
            form.figures(),
            objective=form.cleaned_data["objective"],
            feature=form.cleaned_data["feature"],
            methods=methods(),
        )
    return render(request, "web/devices/check_microscope.html", values)


@require_safe
@without_blanks
def photometer_check(request: HttpRequest) -> HttpResponse:
    """A claim about a photometer: what follows, and for which methods would it do?"""
    form = PhotometerForm(request.GET or None)
    values: dict[str, Any] = {"form": form, "address": request.build_absolute_uri()}
    if form.says_something:
        wavelengths = form.cleaned_data["wavelengths_nm"]
        values["answer"] = photometer_answer(wavelengths, form.figures(), methods=methods())
    return render(request, "web/devices/check_photometer.html", values)
