"""The shapes of what programs send and get, as JSON Schema, and a strict reader of them.

The same shapes are served in the OpenAPI document and held against every request, so neither can say more
than the other. Lengths and counts are those of the forms and of order files.

Source: A. Wright et al., JSON Schema Validation, draft 2020-12 (the keywords used here); P. Bryan et al.,
JSON Pointer, RFC 6901, 2013.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from orders.arithmetic.reading.cells import LATE_WEIGHTS, QUANTITY_MOST
from orders.arithmetic.reading.rows import ADDRESS_LINES_MOST, LENGTH_MOST

Shape = Mapping[str, Any]

NAME_MOST = 120
LINES_MOST = 60
ROWS_MOST = 60
_NUMBER = r"^[^\x00-\x20\x7f/\\][^\x00-\x1f\x7f/\\]*$"
_ONE_LINE = r"^[^\x00-\x1f\x7f]*$"
_NOT_EMPTY = r"^[^\x00-\x20\x7f][^\x00-\x1f\x7f]*$"
_LINES = r"^[^\x00-\x08\x0b-\x1f\x7f]*$"


@dataclass(frozen=True)
class ShapeFault:
    """What does not fit its shape: where (a JSON pointer) and a sentence."""

    pointer: str
    sentence: str


def one_line(most: int, *, can_be_empty: bool = False, **more: Any) -> dict[str, Any]:
    """The shape of a text on one line, of so many signs at most."""
    if can_be_empty:
        return {"type": "string", "maxLength": most, "pattern": _ONE_LINE, **more}
    return {"type": "string", "minLength": 1, "maxLength": most, "pattern": _NOT_EMPTY, **more}


def several_lines(most: int, **more: Any) -> dict[str, Any]:
    """The shape of a text of several lines."""
    return {"type": "string", "maxLength": most, "pattern": _LINES, **more}


def strict(properties: Mapping[str, Shape], *needed: str, **more: Any) -> dict[str, Any]:
    """The shape of an object with these properties and no others."""
    required = {"required": list(needed)} if needed else {}
    return {
        "type": "object",
        "properties": dict(properties),
        **required,
        "additionalProperties": False,
        **more,
    }


DAY: Shape = {"type": "string", "format": "date", "description": "A day, such as 2026-10-12."}
NUMBER: Shape = {
    "type": "string",
    "minLength": 1,
    "maxLength": LENGTH_MOST["number"],
    "pattern": _NUMBER,
    "description": "Order number, or name of a market day.",
}
LINE: Shape = strict(
    {
        "article": one_line(NAME_MOST, description="Name of the article, as in the Range."),
        "colour": one_line(NAME_MOST, description="Name of the colour, as in the Range."),
        "quantity": {"type": "integer", "minimum": 1, "maximum": QUANTITY_MOST},
        "seconds_do": {"type": "boolean", "description": "Seconds may be kept for it. Without it: no."},
    },
    "article",
    "colour",
    "quantity",
)
_TEXTS: Mapping[str, Shape] = {
    "customer": one_line(LENGTH_MOST["customer"]),
    "address": {
        "type": "array",
        "items": one_line(NAME_MOST),
        "maxItems": ADDRESS_LINES_MOST,
        "description": "Postal address, line by line.",
    },
    "note": several_lines(LENGTH_MOST["note"], description="For the studio only."),
    "gift_message": several_lines(LENGTH_MOST["gift_message"], description="Prints on the packing slip."),
    "came_from": one_line(
        LENGTH_MOST["came_from"], can_be_empty=True, description="Where the order was made."
    ),
}
LATE_COUNTS: Shape = {
    "type": "integer",
    "enum": list(LATE_WEIGHTS),
    "description": "How many times a late piece of it counts when the week is planned. Without it: 1.",
}
_LINES_WANTED: Shape = {"type": "array", "items": LINE, "minItems": 1, "maxItems": LINES_MOST}
ORDER_TO_TAKE: Shape = strict(
    {
        "number": NUMBER,
        "kind": {"type": "string", "enum": ["order", "market"], "description": "Without it: order."},
        **_TEXTS,
        "ordered_on": DAY,
        "ship_by": DAY,
        "late_counts": LATE_COUNTS,
        "lines": _LINES_WANTED,
    },
    "number",
    "ship_by",
    "lines",
)
CHANGES: Shape = strict(
    {**_TEXTS, "ship_by": DAY, "late_counts": LATE_COUNTS, "lines": _LINES_WANTED}, minProperties=1
)
PROMISE_ASKED: Shape = strict({"ship_by": DAY, "lines": _LINES_WANTED}, "lines")


def faults_of(value: Any, shape: Shape, pointer: str = "") -> Iterator[ShapeFault]:
    """Everything in a JSON value that does not fit its shape.

    >>> [fault.pointer for fault in faults_of({"ship_by": "soon", "lines": []}, PROMISE_ASKED)]
    ['/ship_by', '/lines']
    """
    kind = shape["type"]
    if not _is_a(value, kind):
        article = "an" if kind[0] in "aeiou" else "a"
        yield ShapeFault(pointer, f"is not {article} {kind}.")
    elif kind == "object":
        yield from _faults_of_object(value, shape, pointer)
    elif kind == "array":
        yield from _bounds(len(value), shape, pointer, "minItems", "maxItems", "entries")
        for place, one in enumerate(value):
            yield from faults_of(one, shape["items"], f"{pointer}/{place}")
    elif kind == "string":
        yield from _faults_of_text(value, shape, pointer)
    elif kind == "integer":
        yield from _bounds(value, shape, pointer, "minimum", "maximum", "")
        if "enum" in shape and value not in shape["enum"]:
            yield ShapeFault(pointer, f"is none of {', '.join(map(str, shape['enum']))}.")


def _is_a(value: Any, kind: str) -> bool:
    if kind == "integer":
        # 2.0 is a whole number in JSON, true is not.
        return not isinstance(value, bool) and (
            isinstance(value, int) or (isinstance(value, float) and value.is_integer())
        )
    return isinstance(value, {"object": dict, "array": list, "string": str, "boolean": bool}[kind])


def _faults_of_object(value: dict[str, Any], shape: Shape, pointer: str) -> Iterator[ShapeFault]:
    for name in shape.get("required", ()):
        if name not in value:
            yield ShapeFault(f"{pointer}/{name}", "is missing.")
    if len(value) < shape.get("minProperties", 0):
        yield ShapeFault(pointer, "says nothing.")
    for name, one in value.items():
        if name not in shape["properties"]:
            yield ShapeFault(f"{pointer}/{_escaped(name)}", "is not known here.")
        else:
            yield from faults_of(one, shape["properties"][name], f"{pointer}/{name}")


def _faults_of_text(value: str, shape: Shape, pointer: str) -> Iterator[ShapeFault]:
    yield from _bounds(len(value), shape, pointer, "minLength", "maxLength", "signs")
    if "enum" in shape and value not in shape["enum"]:
        yield ShapeFault(pointer, f"is none of {', '.join(shape['enum'])}.")
    if "pattern" in shape and value and not re.fullmatch(shape["pattern"], value):
        yield ShapeFault(pointer, "has a sign in it that cannot stand there.")
    if shape.get("format") == "date" and not _is_day(value):
        yield ShapeFault(pointer, "is not a day. Write it like 2026-10-12.")


def _bounds(
    value: float, shape: Shape, pointer: str, least: str, most: str, words: str
) -> Iterator[ShapeFault]:
    of_what = f" {words}" if words else ""
    if least in shape and value < shape[least]:
        yield ShapeFault(pointer, f"has {value:g}{of_what}, at least {shape[least]} wanted.")
    if most in shape and value > shape[most]:
        yield ShapeFault(pointer, f"has {value:g}{of_what}, at most {shape[most]} allowed.")


def _is_day(text: str) -> bool:
    try:
        return re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII) is not None and bool(
            date.fromisoformat(text)
        )
    except ValueError:
        return False


def _escaped(name: str) -> str:
    """A name as part of a JSON pointer."""
    return name.replace("~", "~0").replace("/", "~1")[:80]
