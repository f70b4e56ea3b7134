"""From any piece, lot, tub, mix or order to everything it touched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.arithmetic.codes import near_codes, tidy_mark
from orders.queries.trace import WentTo, marks_of_order, went_to
from production.queries.trace import TracedMix, known_marks, mix_numbers_of, traced_mixes

MIXES_MOST = 50


@dataclass(frozen=True)
class Trace:
    """What was found for one code: `kind` of thing, the mixes it touched, and where their pieces are."""

    code: str
    kind: str
    mixes: tuple[TracedMix, ...]
    went_to: Mapping[int, WentTo]
    near: tuple[str, ...]
    more_mixes: int = 0


def trace(code: str) -> Trace:
    """Everything that `code` (a piece mark, lot, tub, mix number or order number) touched.

    At most ten queries, however much history. An unknown code has no mixes and names the marks near it.
    """
    kind, numbers = _find(code.strip())
    if not numbers:
        mark = tidy_mark(code)
        return Trace(code, "", (), {}, tuple(near_codes(mark, known_marks(mark))))
    mixes = traced_mixes(numbers[:MIXES_MOST])
    piece_ids = [piece.piece_id for mix in mixes for piece in mix.pieces]
    more = max(0, len(numbers) - MIXES_MOST)
    return Trace(code, kind, tuple(mixes), went_to(piece_ids), (), more)


def _find(code: str) -> tuple[str, list[int]]:
    for kind in ("mark", "lot", "tub", "mix"):
        numbers = mix_numbers_of(**{kind: code})
        if numbers:
            return {"mark": "Piece", "lot": "Lot", "tub": "Tub", "mix": "Mix"}[kind], numbers
    numbers = {number for mark in marks_of_order(code) for number in mix_numbers_of(mark=mark)}
    return "Order", sorted(numbers, reverse=True)
