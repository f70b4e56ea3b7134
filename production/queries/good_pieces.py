"""The good pieces that are here, as whoever keeps them for an order needs to know them."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from production.models import Outcome, Piece


@dataclass(frozen=True)
class GoodPiece:
    """A piece that has not left. `ready_at` is known once no hands are needed any more."""

    id: int
    mark: str
    article_id: int
    colour_id: int
    wanted_by: str
    ready_at: datetime | None
    steps_done: int
    out_at: datetime
    is_second: bool = False


def piece_words(mark: str) -> str:
    """What a piece is, in words: "a Ferry tray in Rust"; "" for a mark that no piece has. One query."""
    found = (
        Piece.objects.filter(mark=mark, undone_at__isnull=True)
        .values_list("article__name", "colour__name")
        .first()
    )
    if not found:
        return ""
    article = "an" if found[0][0].lower() in "aeiou" else "a"
    return f"{article} {found[0]} in {found[1]}"


def good_pieces_here(
    piece_ids: Iterable[int] | None = None,
    *,
    with_seconds: bool = False,
    sorts: Collection[tuple[int, int]] | None = None,
) -> list[GoodPiece]:
    """Good pieces that have not left, oldest first; only those with the ids given, if any. One query.

    `with_seconds` has seconds among them, for whoever may keep them for something. `sorts`, if given, are
    the (article id, colour id) asked for at least: others of the same articles and colours come with them.
    """
    outcomes = [Outcome.GOOD, Outcome.SECOND] if with_seconds else [Outcome.GOOD]
    rows = Piece.objects.filter(
        outcome__in=outcomes, shipped_at__isnull=True, undone_at__isnull=True
    ).order_by("out_at", "id")
    if piece_ids is not None:
        rows = rows.filter(pk__in=list(piece_ids))
    if sorts is not None:
        rows = rows.filter(
            article__in={article for article, _ in sorts}, colour__in={colour for _, colour in sorts}
        )
    fields = ("id", "mark", "article", "colour", "wanted_by", "ready_at", "steps_done", "out_at", "outcome")
    return [
        GoodPiece(*fields_of, is_second=outcome == Outcome.SECOND)  # type: ignore[misc]
        for *fields_of, outcome in rows.values_list(*fields)
    ]
