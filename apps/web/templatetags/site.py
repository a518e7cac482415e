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
# The pages that help with a question, its own page first, and the deed that each needs; none:
# the catalogue is the same for everybody and open to visitors.
ASIDES: dict[str, tuple[tuple[str, str, Deed | None], ...]] = {
    "web:site-list": (
        (gettext_lazy("Sites"), "web:site-list", "register.view"),
        (gettext_lazy("Equipment"), "web:equipment-list", "register.view"),
        (gettext_lazy("Due and stale"), "web:equipment-due", "register.view"),
        (gettext_lazy("Staff and skills"), "web:staff-list", "register.view"),
        (gettext_lazy("What contradicts"), "web:equipment-contradictions", "register.view"),
        (gettext_lazy("Write down"), "web:entry-list", "register.change"),
        (gettext_lazy("What is asked for"), "web:demand-list", "register.view"),
        (gettext_lazy("Travel times"), "web:travel-time-list", "register.view"),
        (gettext_lazy("Workbooks and uploads"), "web:upload-list", "register.change"),
        (gettext_lazy("Files for other programs"), "web:exchange-list", "register.view"),
    ),
    "web:coverage-grid": (
        (gettext_lazy("Sites and tests"), "web:coverage-grid", "register.view"),
        (gettext_lazy("Tests and methods"), "web:method-list", None),
        (gettext_lazy("Device models"), "web:device-list", None),
        (gettext_lazy("Check a device"), "web:device-check", None),
    ),
    "web:verification-list": (
        (gettext_lazy("Devices verified"), "web:verification-list", "register.view"),
        (gettext_lazy("What was changed"), "web:history-list", "history.view"),
        (gettext_lazy("Versions of the catalogue"), "web:version-list", "register.view"),
        (gettext_lazy("Who may sign in"), "web:person-list", "people.view"),
        (gettext_lazy("Invitations"), "web:invitation-list", "people.invite"),
    ),
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
    """What helps with the question that the reader is at, as far as the reader's role may.

    Visitors, who may ask no question, get the pages that are open to them.
    """
    # Pages about errors are rendered without a request.
    if (request := context.get("request")) is None:
        return []
    path, user = request.path, context["user"]
    if user.is_authenticated:
        pages = next((ASIDES[name] for name in ASIDES if _belongs(path, name)), ())
    else:
        pages = tuple(page for beside in ASIDES.values() for page in beside if page[2] is None)
    open_ = [(text, reverse(name)) for text, name, deed in pages if not deed or may(user, deed)]
    here = max((href for _, href in open_ if path.startswith(href)), key=len, default="")
    return [Question(gettext(text), href, href == here) for text, href in open_]


def _belongs(path: str, name: str) -> bool:
    """Whether the page at ``path`` is about the question whose page is called ``name``."""
    pages = {name, *(page for _, page, _ in ASIDES.get(name, ()))}
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
