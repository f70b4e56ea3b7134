"""What can be ordered: the articles in use and the colours they are made in."""

from __future__ import annotations

from dataclasses import dataclass

from production.models import Article


@dataclass(frozen=True)
class ColourOffered:
    """A colour an article is made in."""

    id: int
    name: str
    hex: str


@dataclass(frozen=True)
class ArticleOffered:
    """An article that can be ordered. `packaging_each` in thousandths of the packaging's base unit."""

    id: int
    name: str
    silhouette: str
    is_candle: bool
    packaging_id: int | None
    packaging_each: int
    colours: tuple[ColourOffered, ...]


def articles_offered() -> list[ArticleOffered]:
    """The articles that were not retired, by name. Two queries."""
    rows = Article.objects.filter(retired_on__isnull=True).prefetch_related("colours").order_by("name")
    return [
        ArticleOffered(
            id=row.pk,
            name=row.name,
            silhouette=row.silhouette,
            is_candle=row.is_candle,
            packaging_id=row.packaging_id,
            packaging_each=row.packaging_each,
            colours=tuple(ColourOffered(colour.pk, colour.name, colour.hex) for colour in row.colours.all()),
        )
        for row in rows
    ]
