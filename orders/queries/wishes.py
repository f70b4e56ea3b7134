"""Shelf wishes, and how far they are met."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from orders.models import Assignment, ShelfWish
from production.queries.good_pieces import good_pieces_here


@dataclass(frozen=True)
class WishOnPage:
    """One wish: `free` good pieces are here that nobody else has, ready or on their way."""

    article_id: int
    colour_id: int
    article: str
    silhouette: str
    colour: str
    hex: str
    level: int
    free: int

    @property
    def what(self) -> str:
        """Article and colour as a form sends them."""
        return f"{self.article_id}:{self.colour_id}"


def shelf_wishes() -> list[WishOnPage]:
    """All wishes by article. Three queries."""
    taken = set(Assignment.objects.filter(piece__shipped_at__isnull=True).values_list("piece", flat=True))
    free = Counter((one.article_id, one.colour_id) for one in good_pieces_here() if one.id not in taken)
    rows = ShelfWish.objects.select_related("article", "colour").order_by("article__name", "colour__name")
    return [
        WishOnPage(
            article_id=row.article_id,
            colour_id=row.colour_id,
            article=row.article.name,
            silhouette=row.article.silhouette,
            colour=row.colour.name,
            hex=row.colour.hex,
            level=row.level,
            free=free[row.article_id, row.colour_id],
        )
        for row in rows
    ]
