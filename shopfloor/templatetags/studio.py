"""Template tags of the frame: swatches, silhouettes, drawings, clocks, keys of forms.

Tags here parse and call; what a drawing looks like is decided in the apps' `drawings` rooms.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

from django import template
from django.forms import BoundField, CheckboxInput
from django.middleware.csrf import get_token
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from inventory.drawings.shapes import Drawn, Picture, svg_of
from production.drawings.silhouettes import silhouette_picture

register = template.Library()


@register.filter
def words(text: str) -> list[str]:
    """The words of a text, for short lists written in a template."""
    return text.split()


@register.simple_tag
def sheet_address(name: str) -> str:
    """Address of one of the frame's style sheets."""
    return static(f"shopfloor/{name}.css")


@register.simple_tag(takes_context=True)
def current_area_name(context: template.Context, lower: bool = False) -> str:
    """Name of the area the page belongs to; "the page" or "Studio" where it belongs to none."""
    for one in context.get("areas") or ():
        if one.key == context.get("area"):
            return one.name.lower() if lower else one.name
    return "the page" if lower else "Studio"


@register.simple_tag
def new_request_key(given: Any = "") -> str:
    """The request key a form already has, or a new one."""
    return str(given) if given else str(uuid4())


@register.filter
def time_left(until: datetime | None, now: datetime | None) -> str:
    """Minutes and seconds between two instants as a clock shows them (11:08, 1:05:30)."""
    if until is None or now is None:
        return ""
    seconds = int(abs((until - now).total_seconds()))
    hours, rest = divmod(seconds, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"


@register.filter
def is_tick(field: BoundField) -> bool:
    """Whether a field is a single tick box, whose label stands beside it."""
    return isinstance(field.field.widget, CheckboxInput)


@register.filter
def with_class(field: BoundField, css: str) -> SafeString:
    """The field's widget with a class of the sheet."""
    return field.as_widget(attrs={"class": css})


@register.simple_tag
def swatch(hex_colour: str, name: str = "") -> SafeString:
    """A round of the cast's colour, and its name: a colour is never shown without its word."""
    return format_html(
        '<svg class="sw" viewBox="0 0 15 15" aria-hidden="true">'
        '<circle cx="7.5" cy="7.5" r="6.7" fill="{}"/></svg>{}',
        hex_colour,
        name,
    )


@register.simple_tag
def silhouette(
    name: str,
    hex_colour: str = "",
    state: str = "filled",
    size: int = 40,
    water: float = 1.0,
    label: str = "",
) -> SafeString:
    """An outline `size` px wide. state: open, wet (with `water` left, 0 to 1), filled or standing."""
    return draw(
        silhouette_picture(name, hex_colour=hex_colour, state=state, size=size, water=water, label=label)
    )


@register.simple_tag
def draw(picture: Picture | Drawn | None, css: str = "") -> SafeString:
    """A picture as inline SVG, both widths of it where it has two; nothing where there is none."""
    if not picture:
        return SafeString("")
    # svg_of escapes every text and attribute it writes
    if isinstance(picture, Drawn):
        wide, narrow = svg_of(picture.wide, css=css), svg_of(picture.narrow, css=css)
        return mark_safe(f'<div class="only-wide">{wide}</div><div class="only-phone">{narrow}</div>')
    return mark_safe(svg_of(picture, css=css))


@register.simple_tag
def sort_state(column: Any) -> SafeString:
    """The aria-sort attribute of a table column that is sorted by."""
    if not column.is_ordered:
        return SafeString("")
    way = "descending" if column.order_by_alias.is_descending else "ascending"
    return format_html(' aria-sort="{}"', way)


@register.simple_tag
def sort_words(column: Any) -> str:
    """How a sorted column is sorted, in words: "earliest first"."""
    if not column.is_ordered:
        return ""
    said = column.column.attrs.get("words", {})
    if column.order_by_alias.is_descending:
        return said.get("down", "highest first")
    return said.get("up", "lowest first")


def _csrf_token(context: template.Context) -> Any:
    """The page's token, also inside an include that passes "only" what it names and so loses it."""
    given = context.get("csrf_token")
    request = getattr(context, "request", None)
    return given if given or request is None else get_token(request)


@register.inclusion_tag("components/act.html", takes_context=True)
def act(
    context: template.Context,
    url: str,
    label: str,
    css: str = "",
    request_key: Any = "",
    hidden: dict[str, Any] | None = None,
    why_not: str = "",
    hx_target: str = "",
    small: str = "",
    extra: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """A form with one plate; see the head of the fragment. Nothing leaks in from the page around it."""
    return {
        "csrf_token": _csrf_token(context),
        "url": url,
        "label": label,
        "css": css,
        "request_key": request_key,
        "hidden": hidden,
        "why_not": why_not,
        "hx_target": hx_target,
        "small": small,
        "extra": extra,
    }


@register.inclusion_tag("components/field.html")
def field(field: BoundField, unit: str = "", css: str = "", hint: str = "") -> dict[str, Any]:
    """A field with label, unit, hint and error; see the head of the fragment."""
    return {"field": field, "unit": unit, "css": css, "hint": hint}


@register.inclusion_tag("components/judge_plates.html", takes_context=True)
def judge_plates(
    context: template.Context,
    url: str,
    hx_target: str = "",
    hidden: dict[str, Any] | None = None,
    request_key: Any = "",
) -> dict[str, Any]:
    """Good, Second and Scrap for one cast; see the head of the fragment."""
    return {
        "csrf_token": _csrf_token(context),
        "url": url,
        "hx_target": hx_target,
        "hidden": hidden,
        "request_key": request_key,
    }


@register.inclusion_tag("components/said.html", takes_context=True)
def said_line(
    context: template.Context, text: Any, undo_url: str = "", request_key: Any = "", wrong: bool = False
) -> dict[str, Any]:
    """What was done, with its Undo; or what was refused."""
    token = _csrf_token(context)
    return {
        "csrf_token": token,
        "text": text,
        "undo_url": undo_url,
        "request_key": request_key,
        "wrong": wrong,
    }
