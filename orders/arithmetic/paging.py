"""Lines of a packing slip over pages: no line is broken, none runs off the paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class SlipLine:
    """One row of a slip: so many pieces of an article in a colour, with their marks and mix numbers."""

    quantity: int
    article: str
    colour: str
    marks: tuple[str, ...]
    mixes: tuple[int, ...] = ()


@dataclass(frozen=True)
class SlipSize:
    """How much a page takes: `lines_most` rows of usual height, `marks_across` side by side in one, and how
    many signs of the gift message stand on a line."""

    lines_most: int
    marks_across: int
    gift_signs: int


SIZES = {
    "a5": SlipSize(lines_most=8, marks_across=3, gift_signs=46),
    "l46": SlipSize(lines_most=6, marks_across=2, gift_signs=40),
    "a4": SlipSize(lines_most=14, marks_across=5, gift_signs=64),
    "letter": SlipSize(lines_most=12, marks_across=5, gift_signs=64),
}
# A row of usual height has two text lines: the article over the colour. More marks make it taller.
TEXT_LINES = 2
# Text lines of the gift message and of what follows that have room under a full page of rows.
GIFT_FREE = 4
# Lines of an address that have room over a full page of rows; how many mix numbers stand on a line.
ADDRESS_FREE, MIXES_ACROSS = 6, 4


@dataclass(frozen=True)
class SlipPage:
    """One page: its rows; the count, what follows and the gift message stand on the last one."""

    number: int
    of: int
    lines: tuple[SlipLine, ...]
    is_last: bool


def slip_pages(
    lines: Sequence[SlipLine], gift_message: str, size: SlipSize, *, address_lines: int = 0, follows: int = 0
) -> tuple[SlipPage, ...]:
    """Lay rows out over pages of `size`; what stands under them may take the last page alone.

    A long address takes its room from the first page; `follows` lines say what comes later.
    """
    room = size.lines_most * TEXT_LINES
    pages: list[list[SlipLine]] = [[]]
    used = max(0, address_lines - ADDRESS_FREE)
    for line in _not_too_tall(lines, size):
        tall = _text_lines(line, size)
        if pages[-1] and used + tall > room:
            pages.append([])
            used = 0
        pages[-1].append(line)
        used += tall
    gift = sum(-(-max(1, len(text)) // size.gift_signs) for text in gift_message.splitlines())
    under = gift * 1.5 + follows
    if pages[-1] and used + max(0.0, under - GIFT_FREE * 1.5) > room:
        pages.append([])
    return tuple(
        SlipPage(number, len(pages), tuple(page), number == len(pages))
        for number, page in enumerate(pages, start=1)
    )


def _text_lines(line: SlipLine, size: SlipSize) -> int:
    under_article = 1 + max(1, -(-len(line.mixes) // MIXES_ACROSS))
    return max(TEXT_LINES, under_article, -(-len(line.marks) // size.marks_across))


def _not_too_tall(lines: Sequence[SlipLine], size: SlipSize) -> list[SlipLine]:
    """Rows of at most half a page; one with more marks becomes several, each with its own count."""
    most = size.marks_across * size.lines_most
    return [
        SlipLine(
            len(line.marks[start : start + most]),
            line.article,
            line.colour,
            line.marks[start : start + most],
            line.mixes,
        )
        for line in lines
        for start in range(0, len(line.marks), most)
    ]
