"""Reads a QR code back from the lines it is drawn with, by the standard and not by the library that drew."""

from __future__ import annotations

import re

# Blocks, and data codewords of all of them, by level of error correction (M or the better Q) and version.
M, Q = 0b00, 0b11
BLOCKS = {
    (M, 1): (1, 16),
    (M, 2): (1, 28),
    (M, 3): (1, 44),
    (Q, 1): (1, 13),
    (Q, 2): (1, 22),
    (Q, 3): (2, 34),
}
FORMAT_MASK = 0b101010000010010
MASKS = (
    lambda r, c: (r + c) % 2 == 0,
    lambda r, c: r % 2 == 0,
    lambda r, c: c % 3 == 0,
    lambda r, c: (r + c) % 3 == 0,
    lambda r, c: (r // 2 + c // 3) % 2 == 0,
    lambda r, c: (r * c) % 2 + (r * c) % 3 == 0,
    lambda r, c: ((r * c) % 2 + (r * c) % 3) % 2 == 0,
    lambda r, c: ((r + c) % 2 + (r * c) % 3) % 2 == 0,
)


def read_qr(svg: str) -> str:
    """The text of a code of versions 1 to 3, level M or better, byte mode, undamaged.

    Source: ISO/IEC 18004:2015, 7.3 to 7.9 (from memory): format, data masks, placing of codewords.
    """
    dark = _modules(svg)
    side = max(max(place) for place in dark) + 1
    version = (side - 17) // 4
    bits = sum(((8, column) in dark) << (14 - place) for place, column in enumerate((0, 1, 2, 3, 4, 5, 7, 8)))
    bits += sum(((row, 8) in dark) << (6 - place) for place, row in enumerate((7, 5, 4, 3, 2, 1, 0)))
    form = bits ^ FORMAT_MASK
    mask = MASKS[(form >> 10) & 0b111]
    bits_in_place = "".join(
        str(int(((row, column) in dark) != mask(row, column))) for row, column in _data_places(side)
    )
    blocks, count = BLOCKS[form >> 13, version]
    codewords = [bits_in_place[8 * n : 8 * n + 8] for n in range(count)]
    # The blocks stand in turn, a codeword of each.
    stream = "".join("".join(codewords[block::blocks]) for block in range(blocks))
    assert stream[:4] == "0100", "not in byte mode"
    length = int(stream[4:12], 2)
    return bytes(int(stream[12 + 8 * n : 20 + 8 * n], 2) for n in range(length)).decode()


def _modules(svg: str) -> set[tuple[int, int]]:
    """Row and column of every dark module: each stroke is a row of them, one unit high."""
    dark: set[tuple[int, int]] = set()
    x = y = 0.0
    path = re.search(r' d="([^"]+)"', svg)
    assert path
    for command, figures in re.findall(r"([Mmh])([-0-9. ]+)", path.group(1)):
        numbers = [float(figure) for figure in re.findall(r"-?[0-9]*\.?[0-9]+", figures)]
        if command == "h":
            dark.update((int(y), int(x) + step) for step in range(int(numbers[0])))
            x += numbers[0]
        else:
            x, y = (numbers[0], numbers[1]) if command == "M" else (x + numbers[0], y + numbers[1])
    return dark


def _data_places(side: int) -> list[tuple[int, int]]:
    """The places of the data from the lower right corner, up and down in columns of two."""
    places, upward = [], True
    for right in (*range(side - 1, 6, -2), *range(5, 0, -2)):
        for row in range(side - 1, -1, -1) if upward else range(side):
            places += [(row, column) for column in (right, right - 1) if not _is_pattern(row, column, side)]
        upward = not upward
    return places


def _is_pattern(row: int, column: int, side: int) -> bool:
    """Finders with the format beside them, timing lines, and the one alignment pattern from version 2 on."""
    finder = (row < 9 and column < 9) or (row < 9 and column >= side - 8) or (row >= side - 8 and column < 9)
    alignment = side > 21 and abs(row - (side - 7)) <= 2 and abs(column - (side - 7)) <= 2
    return finder or alignment or row == 6 or column == 6
