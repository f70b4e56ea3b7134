"""Single cells of an order file: counts of pieces."""

from __future__ import annotations

import re

from inventory.arithmetic.cells import CellNotRead, shorten

QUANTITY_MOST = 999


def read_quantity(text: str) -> int:
    """Read a count of pieces; "2" and "2.0" are two.

    Raises: CellNotRead when it is not a whole number from 1 to 999.
    """
    found = re.fullmatch(r"(\d{1,9})(?:[.,]0+)?", text.strip(), re.ASCII)
    if not found:
        raise CellNotRead(f'"{shorten(text)}" is not a whole number of pieces.')
    quantity = int(found[1])
    if not 1 <= quantity <= QUANTITY_MOST:
        raise CellNotRead(f"{quantity} pieces are not from 1 to {QUANTITY_MOST}.")
    return quantity
