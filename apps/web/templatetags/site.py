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


@dataclass(frozen=True)
class Question:
    text: str
    href: str
    current: bool


@register.simple_tag(takes_context=True)
def questions(context: Context) -> list[Question]:
    """The questions that the reader's role may ask, and under which of them the reader is."""
    path, user = context["request"].path, context["user"]
    addresses = [(text, reverse(name)) for text, name, deed in QUESTIONS if may(user, deed)]
    return [Question(gettext(text), href, path.startswith(href)) for text, href in addresses]


@register.simple_tag
def demonstration() -> bool:
    """Whether the service runs with invented data."""
    return not settings.PRODUCTION


@register.simple_tag
def styles(names: str) -> SafeString:
    """Links to the style sheets of the components ``names``, parted by spaces."""
    addresses = ((static(f"web/components/{name}.css"),) for name in names.split())
    return format_html_join("\n", '<link rel="stylesheet" href="{}">', addresses)
