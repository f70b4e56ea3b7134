"""Single cells of an order file: counts of pieces, and what spreadsheets put around a text."""

from __future__ import annotations

import re

from inventory.arithmetic.cells import CellNotRead, shorten

QUANTITY_MOST = 999
LATE_WEIGHTS = (1, 2, 4)
"""How many times a late piece of an order may count."""
_YES, _NO = ("yes", "y", "true", "x", "1"), ("no", "n", "false", "0", "-")
_LATE_WORDS = {"as usual": 1, "usual": 1, "once": 1, "twice": 2, "four times": 4}


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


def read_yes_no(text: str) -> bool:
    """Read yes or no, in the ways a table has them.

    Raises: CellNotRead.
    """
    plain = text.strip().casefold()
    if plain not in _YES + _NO:
        raise CellNotRead(f'"{shorten(text)}" is neither yes nor no.')
    return plain in _YES


def read_late_weight(text: str) -> int:
    """Read how many times a late piece counts: "twice", "2", "as usual".

    Raises: CellNotRead.
    """
    plain = " ".join(text.casefold().split()).removeprefix("counts ")
    weight = _LATE_WORDS.get(plain) or (int(plain) if plain in map(str, LATE_WEIGHTS) else 0)
    if not weight:
        raise CellNotRead(f'"{shorten(text)}" is not as usual, twice or four times.')
    return weight


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
