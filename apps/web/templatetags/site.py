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

register = template.Library()

# The questions in the order in which a year of planning asks them, and their pages.
QUESTIONS = (
    (gettext_lazy("What is there?"), "web:site-list"),
    (gettext_lazy("What can each site do?"), "web:coverage-grid"),
    (gettext_lazy("What should we buy?"), "web:plan-list"),
    (gettext_lazy("What arrived?"), "web:delivery-list"),
    (gettext_lazy("Can we trust it?"), "web:verification-list"),
)


@dataclass(frozen=True)
class Question:
    text: str
    href: str
    current: bool


@register.simple_tag(takes_context=True)
def questions(context: Context) -> list[Question]:
    """The questions, and under which of them the reader is now."""
    path = context["request"].path
    addresses = [(text, reverse(name)) for text, name in QUESTIONS]
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
