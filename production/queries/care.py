"""What a care card says of a piece."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch

from production.models import Cast, Piece, RouteStep


@dataclass(frozen=True)
class FilledWith:
    """What a piece is filled with; `amount` in thousandths of `unit`, `hazard_wording` as kept."""

    material: str
    amount: int
    unit: str
    hazard_wording: str


@dataclass(frozen=True)
class CareFacts:
    """One piece on its card. `care`: the studio's own words for the article, then for its finish, by line.

    `mixes` are numbers.
    """

    piece_id: int
    mark: str
    article: str
    silhouette: str
    colour: str
    mixes: tuple[int, ...]
    care: tuple[str, ...]
    is_candle: bool
    filled_with: tuple[FilledWith, ...]


def care_facts(piece_ids: Iterable[int]) -> list[CareFacts]:
    """What stands on the care cards of these pieces, in the order of their marks. Three queries."""
    fills = RouteStep.objects.filter(kind=RouteStep.Kind.FILL).select_related("material", "fragrance")
    pieces = (
        Piece.objects.filter(pk__in=list(piece_ids))
        .select_related("article__route", "colour")
        .prefetch_related(Prefetch("article__route__steps", fills.order_by("position"), to_attr="fills"))
        .prefetch_related(Prefetch("casts", Cast.objects.select_related("mix").order_by("id")))
        .order_by("article__name", "mark")
    )
    return [
        CareFacts(
            piece_id=piece.pk,
            mark=piece.mark,
            article=piece.article.name,
            silhouette=piece.article.silhouette,
            colour=piece.colour.name,
            mixes=tuple(sorted({cast.mix.number for cast in piece.casts.all()})),
            care=_lines(piece.article.care) + _lines(piece.article.route.care),
            is_candle=piece.article.is_candle,
            filled_with=tuple(
                FilledWith(material.name, amount, material.unit, material.hazard_wording)
                for step in piece.article.route.fills  # type: ignore[attr-defined]
                for material, amount in (
                    (step.material, step.amount_each),
                    (step.fragrance, step.fragrance_each),
                )
                if material and amount
            ),
        )
        for piece in pieces
    ]


def _lines(care: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in care.splitlines() if line.strip())
