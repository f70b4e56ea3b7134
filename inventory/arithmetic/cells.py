"""Single cells of a file: days, and what is said of a cell that cannot be read."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

_ISO = re.compile(r"(\d{4})[-/](\d{1,2})[-/](\d{1,2})(?:[T ].*)?", re.ASCII)
_COMPACT = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})", re.ASCII)
_BY_FIGURES = re.compile(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})(?: .*)?", re.ASCII)
_BY_MONTH = re.compile(r"(\d{1,2})\.?[ -]([A-Za-z]{3,9})\.?,?[ -](\d{4})(?: .*)?", re.ASCII)
_MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2}),? (\d{4})(?: .*)?", re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


class CellNotRead(ValueError):
    """The cell does not say what its column is for; the text is a sentence."""


@dataclass(frozen=True)
class DayOrder:
    """How days such as 3/4/2026 are read in one file. `is_sure` when some day in it settles the question."""

    day_first: bool
    is_sure: bool
    is_used: bool


def day_order(texts: Iterable[str]) -> DayOrder:
    """Tell whether a file writes day or month first, from the days that can only be read one way.

    A first figure above 12 says day first, a second figure above 12 month first. Where nothing tells, or
    both, days are read day first and `is_sure` is false.
    """
    used, day_first, month_first = False, False, False
    for text in texts:
        found = _BY_FIGURES.fullmatch(text.strip())
        if found:
            used = True
            day_first |= int(found[1]) > 12
            month_first |= int(found[2]) > 12
    sure = day_first != month_first
    return DayOrder(day_first=not (sure and month_first), is_sure=sure, is_used=used)


def read_day(text: str, order: DayOrder) -> date:
    """Read a day: 2026-10-12, 20261012, 12/10/2026, 12.10.26, 12 Oct 2026 or Oct 12, 2026.

    A time of day after it is passed over.

    Raises: CellNotRead.
    """
    plain = " ".join(text.split())
    try:
        if found := _ISO.fullmatch(plain) or _COMPACT.fullmatch(plain):
            return date(int(found[1]), int(found[2]), int(found[3]))
        if found := _BY_FIGURES.fullmatch(plain):
            first, second, year = int(found[1]), int(found[2]), int(found[3])
            day, month = (first, second) if order.day_first else (second, first)
            return date(year + 2000 if year < 100 else year, month, day)
        if found := _BY_MONTH.fullmatch(plain):
            return date(int(found[3]), _MONTHS.index(found[2][:3].lower()) + 1, int(found[1]))
        if found := _MONTH_FIRST.fullmatch(plain):
            return date(int(found[3]), _MONTHS.index(found[1][:3].lower()) + 1, int(found[2]))
    except ValueError:
        pass  # a month 13 or a 31 June: said below like any other text that is no day
    raise CellNotRead(f'"{shorten(text)}" is not a day. Write it like 2026-10-12.')


def shorten(text: str, most: int = 40) -> str:
    """Give a cell on one line, cut where it is long."""
    plain = " ".join(text.split())
    return plain if len(plain) <= most else f"{plain[: most - 3]}..."
