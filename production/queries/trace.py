"""What a piece was made from, and what a mix, lot or tub went into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from production.models import Mix, MixDraw, Piece


@dataclass(frozen=True)
class Source:
    """One draw that went into a mix. `amount` in thousandths of the material's base unit."""

    material: str
    unit: str
    lot: str
    supplier_lot: str
    tub: str
    amount: int


@dataclass(frozen=True)
class TracedPiece:
    """One piece of a mix. `piece_id` lets the orders say where it went."""

    piece_id: int
    mark: str
    article: str
    outcome: str
    shipped_at: datetime | None


@dataclass(frozen=True)
class TracedMix:
    """A mix with all that went in and all that came out. Masses in mg."""

    number: int
    compound: str
    colour: str
    colour_hex: str
    started_at: datetime
    powder_mg: int
    water_mg: int
    water_adjust_percent: float
    made_from: tuple[Source, ...]
    pieces: tuple[TracedPiece, ...]


def traced_mixes(numbers: Sequence[int]) -> list[TracedMix]:
    """The mixes with these numbers, with draws and pieces. Three queries, however many."""
    mixes = list(
        Mix.objects.filter(number__in=numbers).select_related("compound", "colour").order_by("-number")
    )
    made_from: dict[int, list[Source]] = {mix.pk: [] for mix in mixes}
    draws = MixDraw.objects.filter(mix__in=mixes).select_related("material", "lot", "container")
    for draw in draws.order_by("-amount", "id"):
        made_from[draw.mix_id].append(
            Source(
                material=draw.material.name,
                unit=draw.material.unit,
                lot=draw.lot.code,
                supplier_lot=draw.lot.supplier_lot,
                tub=draw.container.code,
                amount=draw.amount,
            )
        )
    came_out: dict[int, dict[int, TracedPiece]] = {mix.pk: {} for mix in mixes}
    pieces = Piece.objects.filter(casts__mix__in=mixes, undone_at__isnull=True).select_related("article")
    for piece in pieces.order_by("id").prefetch_related("casts"):
        for cast in piece.casts.all():
            if cast.mix_id in came_out:
                came_out[cast.mix_id][piece.pk] = TracedPiece(
                    piece.pk, piece.mark, piece.article.name, piece.outcome, piece.shipped_at
                )
    return [
        TracedMix(
            number=mix.number,
            compound=mix.compound.name,
            colour=mix.colour.name,
            colour_hex=mix.colour.hex,
            started_at=mix.started_at,
            powder_mg=mix.powder_mg,
            water_mg=mix.water_mg,
            water_adjust_percent=mix.water_adjust_percent,
            made_from=tuple(made_from[mix.pk]),
            pieces=tuple(came_out[mix.pk].values()),
        )
        for mix in mixes
    ]


def known_marks(like: str, most: int = 40) -> list[str]:
    """Marks that share their first two characters with `like`, to say what is near. One query."""
    found = Piece.objects.filter(mark__istartswith=like[:2]).order_by("mark")
    return list(found.values_list("mark", flat=True)[:most])
