"""How the lines of orders stand: what has left, is boxed, is here, in moulds, or not poured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import exp

from orders.arithmetic.standing import IN_MOULD, NOT_POURED
from orders.arithmetic.wanted_by import line_key
from orders.models import OrderLine
from orders.queries.keeping import Kept, kept_by_line
from production.queries.forecasts import LineForecast, line_forecasts
from production.queries.progress import PieceHere, casts_by_demand, pieces_here


@dataclass(frozen=True)
class PieceDrawn:
    """A piece as a silhouette: `state` open, wet (with `water` left, 0 to 1) or filled."""

    silhouette: str
    hex: str
    state: str
    water: float
    says: str


@dataclass(frozen=True)
class LineState:
    """One line: `kept` are its pieces that have not left, nearest to leaving first."""

    line: OrderLine
    shipped: tuple[Kept, ...]
    boxed: int
    kept: tuple[tuple[Kept, PieceHere], ...]
    in_moulds: int
    not_poured: int
    forecast: LineForecast | None

    @property
    def ready(self) -> int:
        """Pieces that can leave now, boxed ones among them."""
        return sum(piece.is_ready for _, piece in self.kept)

    @property
    def left(self) -> int:
        """Pieces that have not left."""
        return self.line.quantity - len(self.shipped)

    @property
    def states(self) -> list[str]:
        """One word for each piece that has not left."""
        here = [piece.state for _, piece in self.kept]
        return here + [IN_MOULD] * self.in_moulds + [NOT_POURED] * self.not_poured


def line_states(lines: Sequence[OrderLine], *, now: datetime) -> dict[int, LineState]:
    """How each line stands, by line id. Eleven queries at most, however many lines."""
    kept = kept_by_line(line.pk for line in lines)
    ids = [one.piece_id for found in kept.values() for one in found if one.shipped_at is None]
    pieces = {piece.id: piece for piece in pieces_here(now=now, piece_ids=ids)} if ids else {}
    making = casts_by_demand()
    forecasts = line_forecasts()
    states = {}
    for line in lines:
        mine = kept.get(line.pk, [])
        here = [(one, pieces[one.piece_id]) for one in mine if one.piece_id in pieces]
        here.sort(key=lambda pair: (not pair[0].is_boxed, not pair[1].is_ready, pair[1].due_at, pair[1].id))
        shipped = tuple(one for one in mine if one.shipped_at is not None)
        # Of a closed order nothing is to come, whatever came back since.
        lacks = max(0, line.quantity - len(shipped) - len(here)) if line.order.closed_at is None else 0
        made = making.get(line_key(line.pk))
        in_moulds = min(lacks, made.pieces) if made and made.article_id == line.article_id else 0
        states[line.pk] = LineState(
            line=line,
            shipped=shipped,
            boxed=sum(one.is_boxed for one, _ in here),
            kept=tuple(here),
            in_moulds=in_moulds,
            not_poured=lacks - in_moulds,
            forecast=forecasts.get(line_key(line.pk)),
        )
    return states


def drawn_pieces(state: LineState, *, now: datetime) -> list[PieceDrawn]:
    """The pieces of a line that have not left, as silhouettes."""
    article, colour = state.line.article, state.line.colour
    what = f"{article.name} in {colour.name}"
    found = [
        PieceDrawn(
            piece.silhouette,
            piece.colour_hex,
            "wet" if piece.state == "drying" else "filled",
            water_left(piece, now=now),
            f"{what}: {piece.state}",
        )
        for _, piece in state.kept
    ]
    wet = PieceDrawn(article.silhouette, colour.hex, "wet", 1.0, f"{what}: {IN_MOULD}")
    dashed = PieceDrawn(article.silhouette, colour.hex, "open", 0.0, f"{what}: {NOT_POURED}")
    return found + [wet] * state.in_moulds + [dashed] * state.not_poured


def water_left(piece: PieceHere, *, now: datetime) -> float:
    """The part of its free water a drying piece still holds, by its own curve: exp(-t / tau)."""
    hours = max(0.0, (now - piece.out_at).total_seconds() / 3600)
    return exp(-hours / piece.drying.tau_hours) if piece.drying.tau_hours > 0 else 0.0
