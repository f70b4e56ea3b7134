"""Lines of a packing slip over pages: no line is broken, none runs off the paper or under its foot.

Heights and widths are in mm and go with papers.css. Widths of text are reckoned a little too wide, so that
what is laid out fits; a page may end a line early.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class SlipLine:
    """One row of a slip: so many pieces of an article in a colour, with their marks and mix numbers.

    `mixes_of` are the mixes of each mark, in the order of the marks, where a row may have to become several.
    """

    quantity: int
    article: str
    colour: str
    marks: tuple[str, ...]
    mixes: tuple[int, ...] = ()
    mixes_of: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True)
class SlipSize:
    """How much a page takes: `rows_mm` high are its rows between the head and what stands at the foot."""

    width_mm: float
    rows_mm: float
    piece_mm: float
    marks_mm: float
    address_pt: float
    gift_pt: float
    gift_gap_mm: float


SIZES = {
    "a5": SlipSize(124, 118, 55, 49, address_pt=13, gift_pt=14, gift_gap_mm=7),
    "l46": SlipSize(87, 81, 35, 32, address_pt=11, gift_pt=11, gift_gap_mm=3),
    "a4": SlipSize(184, 200, 85, 79, address_pt=13, gift_pt=14, gift_gap_mm=7),
    "letter": SlipSize(189, 180, 91, 79, address_pt=13, gift_pt=14, gift_gap_mm=7),
}
PT_MM = 25.4 / 72
ROW_PT, NOTE_PT, LEADING = 10.5, 9.0, 1.35
ROW_PADDING_MM = 2.6
# Beside the address stand the days; over it the sender, in two lines at most, and room under it.
ADDRESS_LESS_MM, AROUND_ADDRESS_MM = 42, 15
NARROW = frozenset("iIjlftr.,;:'!|()[] -")


@dataclass(frozen=True)
class SlipPage:
    """One page: its rows; the count, what follows and the gift message stand on the last one."""

    number: int
    of: int
    lines: tuple[SlipLine, ...]
    is_last: bool


def slip_pages(
    lines: Sequence[SlipLine],
    gift_message: str,
    size: SlipSize,
    *,
    address: Sequence[str] = (),
    follows: Sequence[str] = (),
) -> tuple[SlipPage, ...]:
    """Lay rows out over pages of `size`; what stands under them may take a page with the last row.

    The `address` takes its room from the first page; `follows` says what comes later.
    """
    pages: list[list[SlipLine]] = [[]]
    used = _address_mm(address, size)
    for line in _not_too_tall(lines, size):
        tall = _row_mm(line, size)
        if pages[-1] and used + tall > size.rows_mm:
            pages.append([])
            used = 0.0
        pages[-1].append(line)
        used += tall
    under = _under_mm(gift_message, follows, size)
    if pages[-1] and used + under > size.rows_mm:
        # A count alone on a page looks like a page too many: the last row goes with it.
        goes_along = len(pages[-1]) > 1 and _row_mm(pages[-1][-1], size) + under <= size.rows_mm
        pages.append([pages[-1].pop()] if goes_along else [])
    return tuple(
        SlipPage(number, len(pages), tuple(page), number == len(pages))
        for number, page in enumerate(pages, start=1)
    )


def text_mm(text: str, points: float = ROW_PT) -> float:
    """Reckoned width of a text: narrow letters, capitals and figures, signs of a full square, the rest."""
    ems = 0.0
    for sign in text:
        if unicodedata.combining(sign):
            continue
        if unicodedata.east_asian_width(sign) in "WF":
            ems += 1.0
        elif sign in NARROW:
            ems += 0.3
        elif sign.isupper():
            ems += 0.68
        else:
            ems += 0.58 if sign.isdigit() else 0.55
    return ems * points * PT_MM


def text_lines(text: str, width_mm: float, points: float = ROW_PT) -> int:
    """On how many lines of a width a text stands, broken between words, or within one that is too long."""
    count, used = 1, 0.0
    for word in text.split():
        wide = text_mm(word + " ", points)
        if used and used + wide > width_mm:
            count, used = count + 1, 0.0
        more = int(wide // width_mm)
        count, used = count + more, used + wide - more * width_mm
    return count


def _line_mm(points: float) -> float:
    return points * LEADING * PT_MM


def _address_mm(address: Sequence[str], size: SlipSize) -> float:
    """What the address takes with the sender over it and the days beside it."""
    room = size.width_mm - ADDRESS_LESS_MM
    count = sum(text_lines(line, room, size.address_pt) for line in address)
    return AROUND_ADDRESS_MM + count * _line_mm(size.address_pt)


def _under_mm(gift_message: str, follows: Sequence[str], size: SlipSize) -> float:
    """The count, what follows, and the gift message."""
    said = 4 + _line_mm(NOTE_PT)
    if follows:
        said += text_lines("Still to come: " + "; ".join(follows), size.width_mm, NOTE_PT) * _line_mm(NOTE_PT)
    gift = sum(text_lines(line, size.width_mm, size.gift_pt) for line in gift_message.splitlines())
    return said + (size.gift_gap_mm + gift * _line_mm(size.gift_pt) if gift else 0.0)


def _row_mm(line: SlipLine, size: SlipSize) -> float:
    mixes = f", mix {', '.join(map(str, line.mixes))}" if line.mixes else ""
    piece = text_lines(line.article, size.piece_mm) + text_lines(line.colour + mixes, size.piece_mm)
    marks = text_lines(", ".join(line.marks), size.marks_mm)
    return max(piece, marks) * _line_mm(ROW_PT) + ROW_PADDING_MM


def _not_too_tall(lines: Sequence[SlipLine], size: SlipSize) -> Iterator[SlipLine]:
    """Rows of at most half a page; one with more marks becomes several, each with its own count."""
    most = size.rows_mm / 2
    for line in lines:
        if _row_mm(line, size) <= most:
            yield line
            continue
        start = 0
        while start < len(line.marks):
            end = start + 1
            while end < len(line.marks) and _row_mm(_part(line, start, end + 1), size) <= most:
                end += 1
            yield _part(line, start, end)
            start = end


def _part(line: SlipLine, start: int, end: int) -> SlipLine:
    """Some marks of a row, with the mixes of those alone where they are known."""
    of_these = line.mixes_of[start:end]
    mixes = tuple(sorted({mix for own in of_these for mix in own})) if of_these else line.mixes
    marks = line.marks[start:end]
    return replace(line, quantity=len(marks), marks=marks, mixes=mixes, mixes_of=of_these)
