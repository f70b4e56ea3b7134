"""Which column of an order file holds what.

A heading is recognised without regard to capitals, signs and spaces. Any other heading is given its meaning
by hand once, and remembered for files with the same heading row.

Recognised headings
-------------------
order           order, order number, order no, order ref, number, reference
customer        customer, customer name, name, send to, ship to, recipient, delivery name
address         address, address 1 to 4, address line 1 to 4, street, town, city, county, state, region,
                postcode, post code, postal code, zip, zip code, country (several columns become lines)
ordered on      ordered on, ordered, order date, date ordered, date
ship by         ship by, ship by date, ship date, leaves, send by, needed by, due
article         article, article name, piece, what
colour          colour, color, shade
how many        how many, quantity, qty, count, pieces
seconds do      seconds will do, seconds do (yes or no)
if late         if late, if it is late, late counts (as usual, twice or four times)
note            note, notes, remark, remarks
gift message    gift message, gift note, message
came from       came from, source, sold at, where from
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Columns = Mapping[str, Sequence[str]]
"""Our field -> the headings of the columns that hold it; all fields but the address have one at most."""


@dataclass(frozen=True)
class FileField:
    """One thing an order file may say: `label` on the screens, `headings` it is recognised by."""

    name: str
    label: str
    headings: tuple[str, ...]
    needed: bool = False


_LINES = tuple(f"{word} {number}" for word in ("address", "address line") for number in (1, 2, 3, 4))
FIELDS: tuple[FileField, ...] = (
    FileField(
        "number",
        "Order",
        ("order", "order number", "order no", "order ref", "number", "reference"),
        needed=True,
    ),
    FileField(
        "customer",
        "Customer",
        ("customer", "customer name", "name", "send to", "ship to", "recipient", "delivery name"),
        needed=True,
    ),
    FileField(
        "address",
        "Address",
        (
            "address",
            *_LINES,
            *("street", "town", "city", "county", "state", "region"),
            *("postcode", "post code", "postal code", "zip", "zip code", "country"),
        ),
    ),
    FileField("ordered_on", "Ordered on", ("ordered on", "ordered", "order date", "date ordered", "date")),
    FileField(
        "ship_by",
        "Ship by",
        ("ship by", "ship by date", "ship date", "leaves", "send by", "needed by", "due"),
        needed=True,
    ),
    FileField("article", "Article", ("article", "article name", "piece", "what"), needed=True),
    FileField("colour", "Colour", ("colour", "color", "shade"), needed=True),
    FileField("quantity", "How many", ("how many", "quantity", "qty", "count", "pieces"), needed=True),
    FileField("seconds_do", "Seconds will do", ("seconds will do", "seconds do")),
    FileField("weight", "If late", ("if late", "if it is late", "late counts")),
    FileField("note", "Note", ("note", "notes", "remark", "remarks")),
    FileField("gift_message", "Gift message", ("gift message", "gift note", "message")),
    FileField("came_from", "Came from", ("came from", "source", "sold at", "where from")),
)
FIELD_NAMED = {field.name: field for field in FIELDS}
_FIELD_OF_HEADING = {heading: field.name for field in FIELDS for heading in field.headings}


def plain_heading(heading: str) -> str:
    """Give a heading as it is compared: small letters and figures, single spaces."""
    return " ".join(re.sub(r"[^0-9a-z]+", " ", heading.casefold()).split())


def guess_columns(headings: Sequence[str]) -> dict[str, list[str]]:
    """Give the columns that can be told by their headings; the first of two that mean the same wins."""
    found: dict[str, list[str]] = {}
    for heading in headings:
        field = _FIELD_OF_HEADING.get(plain_heading(heading))
        if field and (field == "address" or field not in found):
            found.setdefault(field, []).append(heading)
    return found


def missing_fields(columns: Columns) -> list[FileField]:
    """Give the fields without which no order can be read, and which no column holds."""
    return [field for field in FIELDS if field.needed and not columns.get(field.name)]


def heading_digest(headings: Sequence[str]) -> str:
    """Give the name under which the meaning of a heading row is remembered; order of columns matters."""
    plain = json.dumps([plain_heading(heading) for heading in headings])
    return hashlib.sha256(plain.encode()).hexdigest()
