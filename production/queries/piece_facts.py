"""What a mark stands for, whatever became of the piece."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from production.models import Piece


@dataclass(frozen=True)
class PieceFacts:
    """A piece in short: `words` say what it is, "a Ferry tray in Rust"."""

    id: int
    words: str
    article_id: int
    colour_id: int
    outcome: str
    shipped_at: datetime | None


def piece_facts(mark: str) -> PieceFacts | None:
    """What the piece with this mark is; None for a mark that no piece has. One query."""
    found = (
        Piece.objects.filter(mark=mark, undone_at__isnull=True).select_related("article", "colour").first()
    )
    if found is None:
        return None
    article = "an" if found.article.name[0].lower() in "aeiou" else "a"
    words = f"{article} {found.article.name} in {found.colour.name}"
    return PieceFacts(found.pk, words, found.article_id, found.colour_id, found.outcome, found.shipped_at)
