"""What a scanner reads off a supplier's label: lot number and best before, in one go.

Source: GS1 General Specifications, sections 3 (application identifiers 01, 10, 11, 13, 15, 16, 17, 21, 37),
7.8 (separator, fixed lengths) and 7.12 (two-digit years); read in descriptions of them, not in the work.
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date

SEPARATOR = "\x1d"
_SYMBOLOGY = re.compile(r"^\](?:C1|e0|d2|Q3|J1)")
_IN_BRACKETS = re.compile(r"\((\d{2})\)([^(]+)")
# Identifier -> fixed length of what follows, None for up to twenty signs ended by the separator.
_LENGTHS = {
    "01": 14,
    "11": 6,
    "12": 6,
    "13": 6,
    "15": 6,
    "16": 6,
    "17": 6,
    "10": None,
    "21": None,
    "37": None,
}
LOT, BEST_BEFORE, EXPIRY = "10", "15", "17"


@dataclass(frozen=True)
class ScannedLabel:
    """The lot number, "" where the label has none, and the day it keeps to, None where it says none."""

    lot: str
    best_before: date | None


def read_label(text: str, *, this_year: int) -> ScannedLabel:
    """Read what was scanned or typed into a lot number field.

    An element string with known identifiers is taken apart, with or without brackets and separators; anything
    else is the lot number itself. Of a best before and an expiry the earlier day counts. `this_year` settles
    the century of a two-digit year.
    """
    bare = _SYMBOLOGY.sub("", text.strip()).strip(SEPARATOR)
    elements = _bracketed(bare) if bare.startswith("(") else _strung(bare)
    if elements is None:
        return ScannedLabel(text.strip(), None)
    days = [day for key in (BEST_BEFORE, EXPIRY) if (day := _day(elements.get(key, ""), this_year))]
    return ScannedLabel(elements.get(LOT, "").strip(), min(days, default=None))


def _bracketed(text: str) -> dict[str, str] | None:
    found = _IN_BRACKETS.findall(text)
    if "".join(f"({key}){value}" for key, value in found) != text:
        return None
    return dict(found) if _is_whole(dict(found)) else None


def _strung(text: str) -> dict[str, str] | None:
    """Identifiers one after the other; None when the text is not made like that to its end."""
    elements: dict[str, str] = {}
    rest = text
    while rest:
        key, rest = rest[:2], rest[2:]
        if key not in _LENGTHS or key in elements:
            return None
        length = _LENGTHS[key]
        if length is None:
            elements[key], _, rest = rest.partition(SEPARATOR)
        else:
            elements[key], rest = rest[:length], rest[length:].removeprefix(SEPARATOR)
    return elements if _is_whole(elements) else None


def _is_whole(elements: dict[str, str]) -> bool:
    """Whether it names a trade item and every part has its length: else it is a plain lot number."""
    return "01" in elements and all(
        key in _LENGTHS
        and (value.isdigit() and len(value) == _LENGTHS[key] if _LENGTHS[key] else 1 <= len(value) <= 20)
        for key, value in elements.items()
    )


def _day(text: str, this_year: int) -> date | None:
    """YYMMDD; day 00 is the last of its month, and a year lies within fifty of this one."""
    if not text:
        return None
    year, month, day = int(text[:2]), int(text[2:4]), int(text[4:])
    ahead = (year - this_year) % 100
    full_year = this_year + (ahead if ahead <= 50 else ahead - 100)
    if not 1 <= month <= 12:
        return None
    last = calendar.monthrange(full_year, month)[1]
    return date(full_year, month, day or last) if day <= last else None
