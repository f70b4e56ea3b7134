"""Single cells of an order file: counts of pieces, and what spreadsheets put around a text."""

from __future__ import annotations

import re

from inventory.arithmetic.cells import CellNotRead, shorten

QUANTITY_MOST = 999


def read_quantity(text: str) -> int:
    """Read a count of pieces; "2", "2.0" and "2,00" are two.

    Raises: CellNotRead when it is not a whole number from 1 to 999, or could be one or a thousand.
    """
    if re.fullmatch(r"\d{1,3}[.,]000", text.strip(), re.ASCII):
        few, many = text.strip()[:-4], text.strip()[:-4] + "000"
        raise CellNotRead(
            f'"{shorten(text)}" can be {few} or {many} pieces. Write it without the comma or point.'
        )
    found = re.fullmatch(r"(\d{1,9})(?:[.,]0+)?", text.strip(), re.ASCII)
    if not found:
        raise CellNotRead(f'"{shorten(text)}" is not a whole number of pieces.')
    quantity = int(found[1])
    if not 1 <= quantity <= QUANTITY_MOST:
        raise CellNotRead(f"{quantity} pieces are not from 1 to {QUANTITY_MOST}.")
    return quantity


def bare_cell(text: str) -> str:
    """A cell without what spreadsheets put around it so that it stays a text: ="00123", or 'and a formula.

    Source: common practice, no source.
    """
    found = re.fullmatch(r'\s*="(.*)"\s*', text, re.DOTALL)
    if found:
        return found[1].replace('""', '"')
    return text[1:] if re.match(r"'[=+\-@]", text) else text


def is_formula(text: str) -> bool:
    """Whether a cell holds a formula instead of what it comes to."""
    return text.lstrip().startswith("=")
