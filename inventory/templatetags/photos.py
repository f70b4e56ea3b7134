"""A photo on a page: {% photo row.photo "what it shows" %}, nothing when there is none."""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()
SMALL_SIDE = 480


@register.simple_tag
def photo(kept: Any, alt: str, css: str = "") -> SafeString | str:
    """The small photo with its words, a link to the large one. `kept`: a row of inventory.Photo, or None."""
    if kept is None:
        return ""
    small, large = (reverse("inventory:photo", args=[kept.name, size]) for size in ("small", "large"))
    scale = min(1.0, SMALL_SIDE / max(kept.width, kept.height))
    return format_html(
        '<a class="photo {}" href="{}"><img src="{}" alt="{}" width="{}" height="{}" loading="lazy"></a>',
        css,
        large,
        small,
        alt,
        round(kept.width * scale),
        round(kept.height * scale),
    )
