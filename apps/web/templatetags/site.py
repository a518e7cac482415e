"""What the frame of every page needs to know: the questions, and whether this is a demo."""

from dataclasses import dataclass

from django import template
from django.conf import settings
from django.template import Context
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext, gettext_lazy

from apps.accounts.rules import Deed, may

register = template.Library()

# The questions in the order in which a year of planning asks them, their pages, and the deed
# that these need.
QUESTIONS: tuple[tuple[str, str, Deed], ...] = (
    (gettext_lazy("What is there?"), "web:site-list", "register.view"),
    (gettext_lazy("What can each site do?"), "web:coverage-grid", "register.view"),
    (gettext_lazy("What should we buy?"), "web:plan-list", "plan.view"),
    (gettext_lazy("What arrived?"), "web:delivery-list", "register.view"),
    (gettext_lazy("Can we trust it?"), "web:verification-list", "register.view"),
)
# What helps to answer a question: pages of the catalogue, which is the same for everybody
# and open to visitors.
ASIDES: dict[str, tuple[tuple[str, str], ...]] = {
    "web:coverage-grid": (
        (gettext_lazy("Tests and methods"), "web:method-list"),
        (gettext_lazy("Device models"), "web:device-list"),
        (gettext_lazy("Check a device"), "web:device-check"),
    )
}


@dataclass(frozen=True)
class Question:
    text: str
    href: str
    current: bool


@register.simple_tag(takes_context=True)
def questions(context: Context) -> list[Question]:
    """The questions that the reader's role may ask, and under which of them the reader is."""
    path, user = context["request"].path, context["user"]
    return [
        Question(gettext(text), reverse(name), _belongs(path, name))
        for text, name, deed in QUESTIONS
        if may(user, deed)
    ]


@register.simple_tag(takes_context=True)
def asides(context: Context) -> list[Question]:
    """What helps with the question that the reader is at, the question's own page first.

    Visitors, who may ask no question, get the pages that are open to them.
    """
    # Pages about errors are rendered without a request.
    if (request := context.get("request")) is None:
        return []
    path, user = request.path, context["user"]
    for text, name, deed in QUESTIONS:
        if name in ASIDES and (not user.is_authenticated or _belongs(path, name)):
            own = [(gettext_lazy("Sites and tests"), name)] if may(user, deed) else []
            pages = [(text, reverse(page)) for text, page in [*own, *ASIDES[name]]]
            here = max((href for _, href in pages if path.startswith(href)), key=len, default="")
            return [Question(gettext(text), href, href == here) for text, href in pages]
    return []


def _belongs(path: str, name: str) -> bool:
    """Whether the page at ``path`` is about the question whose page is called ``name``."""
    pages = (name, *(page for _, page in ASIDES.get(name, ())))
    return any(path.startswith(reverse(page)) for page in pages)


@register.simple_tag
def demonstration() -> bool:
    """Whether the service runs with invented data."""
    return not settings.PRODUCTION


@register.simple_tag
def styles(names: str) -> SafeString:
    """Links to the style sheets of the components ``names``, parted by spaces."""
    addresses = ((static(f"web/components/{name}.css"),) for name in names.split())
    return format_html_join("\n", '<link rel="stylesheet" href="{}">', addresses)
