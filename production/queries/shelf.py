"""The pieces on the shelf, board by board: one row for the pieces of a mix that age together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from production.models import Outcome, Piece
from production.queries.progress import PieceHere, pieces_here
from production.queries.waiting import StepFacts
from production.queries.wishes import wish_labels

WANTS_HANDS, DRYING, COATED, CURING, READY = "wants hands", "drying", "coated", "curing", "ready"

DRAWN_MOST = 6
DRAWN_WIDTH_PX, DRAWN_PX_MOST = 180, 58


@dataclass(frozen=True)
class ShelfRow:
    """Pieces of one article, colour and mix that stand at the same step. `kept` order numbers by piece id.

    `for_words` says whom they are for: order numbers, a market day, or shelf stock.
    """

    pieces: tuple[PieceHere, ...]
    board: str
    kept: Mapping[int, str]
    for_words: str

    @property
    def first(self) -> PieceHere:
        """The piece that stands for all of them."""
        return self.pieces[0]

    @property
    def piece_ids(self) -> list[int]:
        """Ids of the pieces."""
        return [piece.id for piece in self.pieces]

    @property
    def step(self) -> StepFacts | None:
        """Their next step with hands."""
        return self.first.next_step

    @property
    def due_at(self) -> datetime:
        """When the last of them is due."""
        return max(piece.due_at for piece in self.pieces)

    @property
    def minutes(self) -> int:
        """Minutes of hands for their next step."""
        return self.step.minutes_for(len(self.pieces)) if self.step else 0

    @property
    def drawn(self) -> tuple[PieceHere, ...]:
        """The pieces there is room to draw."""
        return self.pieces[:DRAWN_MOST]

    @property
    def not_drawn(self) -> int:
        """How many more there are."""
        return max(0, len(self.pieces) - DRAWN_MOST)

    @property
    def drawn_px(self) -> int:
        """Width of one drawn piece, so that they stand side by side."""
        return drawn_px(len(self.drawn))

    @property
    def mixes(self) -> str:
        """Numbers of their mixes: "304" or "304, 306"."""
        return ", ".join(str(number) for number in self.first.mix_numbers)

    @property
    def colour_risk(self) -> bool:
        """Whether parts of one piece come from more than one mix."""
        return any(piece.colour_risk for piece in self.pieces)

    @property
    def weighed_piece(self) -> PieceHere:
        """The piece to weigh each time: the one weighed before, else the first."""
        told_by = self.first.drying.weighed_piece_id
        return next((piece for piece in self.pieces if piece.id == told_by), self.first)


@dataclass(frozen=True)
class TogetherRow:
    """The same step due on several rows, of one route or more: done on all in one go, one board, one tap."""

    step: StepFacts
    rows: tuple[ShelfRow, ...]

    @property
    def routes(self) -> str:
        """The routes it is a step of."""
        return "; ".join(dict.fromkeys(row.first.route for row in self.rows))

    @property
    def step_ids(self) -> list[int]:
        """Ids of the step in each of the routes."""
        return list(dict.fromkeys(row.step.step_id for row in self.rows if row.step))

    @property
    def piece_ids(self) -> list[int]:
        """Ids of all their pieces."""
        return [piece_id for row in self.rows for piece_id in row.piece_ids]

    @property
    def minutes(self) -> int:
        """Minutes of hands for all of them on one board."""
        return self.step.minutes_for(len(self.piece_ids))


@dataclass(frozen=True)
class ReadyRow:
    """Ready pieces: those kept for one order, or free ones of one article and colour (`number` empty)."""

    number: str
    pieces: tuple[PieceHere, ...]

    @property
    def drawn(self) -> tuple[PieceHere, ...]:
        """The pieces there is room to draw."""
        return self.pieces[:DRAWN_MOST]

    @property
    def not_drawn(self) -> int:
        """How many more there are."""
        return max(0, len(self.pieces) - DRAWN_MOST)

    @property
    def drawn_px(self) -> int:
        """Width of one drawn piece, so that they stand side by side."""
        return drawn_px(len(self.drawn))


@dataclass(frozen=True)
class ShelfNow:
    """The boards of the shelf."""

    wants_hands: tuple[ShelfRow, ...]
    drying: tuple[ShelfRow, ...]
    coated: tuple[ShelfRow, ...]
    curing: tuple[ShelfRow, ...]
    ready: tuple[ReadyRow, ...]

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands on any board."""
        return not (self.wants_hands or self.drying or self.coated or self.curing or self.ready)

    @property
    def together(self) -> tuple[TogetherRow, ...]:
        """The steps due on more than one row, in the order of the rows: alike in kind, name and material."""
        groups: dict[tuple[object, ...], list[ShelfRow]] = {}
        for row in self.wants_hands:
            if row.step is not None:
                alike = (row.step.kind, row.step.name.lower(), row.step.material_id)
                groups.setdefault(alike, []).append(row)
        return tuple(
            TogetherRow(rows[0].step, tuple(rows))
            for rows in groups.values()
            if len(rows) > 1 and rows[0].step is not None
        )

    @property
    def minutes(self) -> int:
        """Minutes of hands the shelf wants now."""
        return sum(row.minutes for row in self.wants_hands)


def shelf_now(*, now: datetime, kept_for: Callable[[Iterable[int]], Mapping[int, str]]) -> ShelfNow:
    """The shelf at this moment; `kept_for` tells the order number each piece is kept for. Eight queries."""
    pieces = pieces_here(now=now)
    kept = kept_for([piece.id for piece in pieces]) if pieces else {}
    labels = wish_labels(piece.wanted_by for piece in pieces)
    rows = _rows([piece for piece in pieces if not piece.is_ready], kept, labels, now)
    return ShelfNow(
        wants_hands=_on(rows, WANTS_HANDS),
        drying=_on(rows, DRYING),
        coated=_on(rows, COATED),
        curing=_on(rows, CURING),
        ready=_ready_rows([piece for piece in pieces if piece.is_ready], kept),
    )


def rows_with_hands_to_come(pieces: Sequence[PieceHere], *, now: datetime) -> tuple[ShelfRow, ...]:
    """The rows that want hands now or later, the first due first. No query."""
    waiting = [piece for piece in pieces if piece.next_step is not None]
    return tuple(sorted(_rows(waiting, {}, {}, now), key=lambda row: (row.due_at, row.first.id)))


def piece_with_mark(mark: str, *, now: datetime) -> PieceHere | None:
    """The piece that is here and bears this mark, None if there is none. Seven queries."""
    found = Piece.objects.filter(mark=mark).values_list("pk", flat=True)
    return next(iter(pieces_here(now=now, piece_ids=found)), None)


def drawn_px(count: int) -> int:
    """Width of one of so many silhouettes that share the room on a board, in px."""
    return min(DRAWN_PX_MOST, DRAWN_WIDTH_PX // max(1, count) - 4)


def _rows(
    pieces: Sequence[PieceHere], kept: Mapping[int, str], labels: Mapping[str, str], now: datetime
) -> list[ShelfRow]:
    groups: dict[tuple[object, ...], list[PieceHere]] = {}
    for piece in pieces:
        key = (piece.article_id, piece.colour_id, piece.mix_numbers, piece.steps_done, piece.outcome)
        groups.setdefault((*key, piece.last_step_at, piece.due_at <= now), []).append(piece)
    return [
        ShelfRow(tuple(group), _board(group[0], now), kept, _for_words(group, kept, labels))
        for group in groups.values()
    ]


def _board(piece: PieceHere, now: datetime) -> str:
    if piece.next_step is not None and piece.due_at <= now:
        return WANTS_HANDS
    if piece.state in ("drying", "dry"):
        return DRYING
    if piece.state in ("curing", "filled"):
        return CURING
    return COATED


def _on(rows: Sequence[ShelfRow], board: str) -> tuple[ShelfRow, ...]:
    here = [row for row in rows if row.board == board]
    return tuple(sorted(here, key=lambda row: (row.due_at, row.first.article, row.first.id)))


def _for_words(group: Sequence[PieceHere], kept: Mapping[int, str], labels: Mapping[str, str]) -> str:
    words = []
    for piece in group:
        label = kept.get(piece.id) or labels.get(piece.wanted_by, "")
        if piece.outcome == Outcome.SECOND:
            label = "seconds"
        words.append(label or "shelf stock")
    return ", ".join(dict.fromkeys(words))


def _ready_rows(pieces: Sequence[PieceHere], kept: Mapping[int, str]) -> tuple[ReadyRow, ...]:
    """First what is kept for orders, order by order, then the free ones by article and colour."""
    groups: dict[tuple[object, ...], list[PieceHere]] = {}
    for piece in pieces:
        number = kept.get(piece.id, "")
        key = (number,) if number else ("", piece.article, piece.colour, piece.outcome)
        groups.setdefault(key, []).append(piece)
    in_order = sorted(groups.items(), key=lambda entry: (not entry[0][0], [str(part) for part in entry[0]]))
    return tuple(ReadyRow(str(key[0]), tuple(group)) for key, group in in_order)
