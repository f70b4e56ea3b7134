"""How castings came out since a day, with what they were cast in and from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import F

from inventory.queries.acts import answers_since
from production.arithmetic.outcome_rates import JudgedCast
from production.models import Cast, MixDraw, Piece


@dataclass(frozen=True)
class CastOutcome:
    """One judged casting for the list: `seen` what the rates count, and what only the list tells.

    `photo` is a row of the stores', None without one.
    """

    seen: JudgedCast
    cast_id: int
    out_at: datetime
    article: str
    part: str
    copy: int
    colour: str
    mark: str
    tubs: tuple[str, ...]
    photo: Any = None

    @property
    def photo_words(self) -> str:
        """What its photo shows: "Ferry tray in Slate, scrap, lumps, mix 7"."""
        what = f"{self.article}, {self.part}" if self.article != self.part else self.article
        words = (f"{what} in {self.colour}", self.seen.outcome, self.seen.reason, f"mix {self.seen.mix}")
        return ", ".join(word for word in words if word)


def outcomes_since(at: datetime) -> list[CastOutcome]:
    """Every casting out of its mould since `at` and judged, the latest first. Three queries.

    A casting whose piece was said to be a second or scrap later on bears that outcome.
    """
    rows = list(
        Cast.objects.filter(out_at__gte=at, mix__undone_at__isnull=True)
        .exclude(outcome="")
        .select_related(
            "mix__compound", "mix__colour", "part__article", "mould_copy__mould", "piece__photo", "photo"
        )
        .order_by("-out_at", "-id")
    )
    judged_later = {answer["piece_id"] for answer in answers_since(at, "production.judge_piece")}
    powder = _powder_of(rows)
    return [_outcome(row, judged_later, powder) for row in rows]


def _outcome(
    row: Cast, judged_later: set[int], powder: dict[int, tuple[tuple[str, ...], tuple[str, ...]]]
) -> CastOutcome:
    mix, piece = row.mix, row.piece
    told_by = piece if piece is not None and piece.pk in judged_later else row
    lots, tubs = powder.get(mix.pk, ((), ()))
    opened_at = mix.powder_opened_at
    return CastOutcome(
        seen=JudgedCast(
            mould=row.mould_copy.mould.name,
            compound=mix.compound.name,
            powder_lots=lots,
            mix=mix.number,
            outcome=told_by.outcome,
            reason=told_by.reason,
            tub_days=max(0, (mix.started_at - opened_at).days) if opened_at else None,
            openings=mix.powder_openings,
        ),
        cast_id=row.pk,
        out_at=row.out_at or mix.started_at,
        article=row.part.article.name,
        part=row.part.name,
        copy=row.mould_copy.number,
        colour=mix.colour.name,
        mark=piece.mark if piece else "",
        tubs=tubs,
        photo=row.photo or (piece.photo if piece else None),
    )


def _powder_of(rows: Sequence[Cast]) -> dict[int, tuple[tuple[str, ...], tuple[str, ...]]]:
    """Codes of the lots and tubs that gave powder, by mix id. One query."""
    if not rows:
        return {}
    lots: dict[int, list[str]] = defaultdict(list)
    tubs: dict[int, list[str]] = defaultdict(list)
    draws = MixDraw.objects.filter(
        material=F("mix__compound__powder"), mix__started_at__gte=min(row.mix.started_at for row in rows)
    ).order_by("lot__code")
    for mix_id, lot, tub in draws.values_list("mix", "lot__code", "container__code"):
        lots[mix_id].append(lot)
        tubs[mix_id].append(tub)
    return {mix: (tuple(lots[mix]), tuple(dict.fromkeys(tubs[mix]))) for mix in lots}


def photo_of_piece(piece_id: int) -> Any:
    """The photo kept with a piece, a row of the stores'; None without one. One query."""
    piece = Piece.objects.select_related("photo").filter(pk=piece_id).first()
    return piece.photo if piece else None
