"""Which piece is kept for which line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class LackingLine:
    """A line that lacks so many pieces. `key` is what pieces poured for it name.

    `seconds_do`: it takes seconds too.
    """

    id: int
    key: str
    article_id: int
    colour_id: int
    lacks: int
    ship_by: date
    seconds_do: bool = False


@dataclass(frozen=True)
class FreePiece:
    """A piece kept for nobody. `ready_at` None: hands are still needed."""

    id: int
    article_id: int
    colour_id: int
    wanted_by: str
    ready_at: datetime | None
    steps_done: int
    out_at: datetime
    is_second: bool = False


def share_out(lines: Sequence[LackingLine], pieces: Sequence[FreePiece]) -> dict[int, int]:
    """Keep free pieces for lines: piece id -> line id.

    A line first gets what was poured for it; what is left goes to the earliest ship-by first, ready pieces
    before those in progress, further ones before younger ones. No line gets more than it lacks. Seconds go
    only to lines that take them, and there, when they are as near to leaving, before good pieces.
    """
    lacks = {line.id: line.lacks for line in lines}
    in_order = sorted(lines, key=lambda line: (line.ship_by, line.id))
    line_of_key = {line.key: line for line in in_order}
    free: dict[tuple[int, int], list[FreePiece]] = defaultdict(list)
    shared: dict[int, int] = {}
    for piece in sorted(pieces, key=_readiest_first):
        own = line_of_key.get(piece.wanted_by)
        if own and lacks[own.id] and _fits(piece, own):
            shared[piece.id] = own.id
            lacks[own.id] -= 1
        else:
            free[piece.article_id, piece.colour_id].append(piece)
    for line in in_order:
        there = free[line.article_id, line.colour_id]
        if not (there and lacks[line.id]):
            continue
        taken = [piece for piece in there if _fits(piece, line)]
        if line.seconds_do:
            taken.sort(key=lambda piece: (piece.ready_at is None, not piece.is_second))
        for piece in taken[: lacks[line.id]]:
            shared[piece.id] = line.id
            there.remove(piece)
    return shared


def _fits(piece: FreePiece, line: LackingLine) -> bool:
    is_asked = (line.article_id, line.colour_id) == (piece.article_id, piece.colour_id)
    return is_asked and (line.seconds_do or not piece.is_second)


def _readiest_first(piece: FreePiece) -> tuple[bool, float, int, datetime, int]:
    ready = piece.ready_at.timestamp() if piece.ready_at else 0.0
    return (piece.ready_at is None, ready, -piece.steps_done, piece.out_at, piece.id)
