"""How busy something is, as words and a bar."""

from typing import Any

from django import template

register = template.Library()


@register.inclusion_tag("web/components/use_bar.html")
def use_bar(*, share: float | None, words: str) -> dict[str, Any]:
    """``words``, and a bar as wide as ``share`` of all time; from all of it on the bar is full.

    ``None``: there is work and no time. The part from 40 to 75 % is marked as the target.
    """
    width = 100.0 if share is None else min(100.0, 100 * share)
    return {"width": f"{width:.1f}", "words": words, "is_over": share is None or share > 1}
