"""How parts become pieces, and when a piece is ready. Parts of acts, not acts themselves."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import uuid4

from django.db.models import Q

from inventory.arithmetic.codes import make_piece_mark
from production.models import Article, ArticlePart, Cast, Outcome, Piece
from production.queries.drying_out import drying_now
from production.queries.progress import wait_of, with_all_that_tells

# How bad an outcome is: a piece is as good as its worst part.
RANK = {Outcome.GOOD: 0, Outcome.SECOND: 1, Outcome.SCRAP: 2}


def form_piece(cast: Cast, *, now: datetime) -> Piece | None:
    """Make a piece of a judged cast and the other parts its article needs, if they are all there.

    Parts are of one colour; those poured for the same demand come first, then those as good as the cast, then
    the oldest. A matched article takes them from the cast's own mix, or where that ran short from the mix
    that topped it up, which is flagged on the piece. Called inside an act, which holds the lock on the mix;
    the other parts are locked here.
    """
    # One piece of an article is formed at a time: two parts judged at once would each find the other missing.
    article = Article.objects.select_for_update(no_key=True).get(pk=cast.part.article_id)
    others = ArticlePart.objects.filter(article=article).exclude(pk=cast.part_id).order_by("pk")
    found = [cast]
    for part in others:
        other = _other_part(cast, part, is_matched=article.is_matched)
        if other is None:
            return None
        found.append(other)
    outcome = max((row.outcome for row in found), key=lambda value: RANK[Outcome(value)])
    out_at = max(row.out_at for row in found if row.out_at)
    piece = Piece.objects.create(
        mark=uuid4().hex[:8],  # until the row has its number
        article=article,
        colour=cast.piece_colour,
        wanted_by=cast.wanted_by,
        outcome=outcome,
        reason=next((row.reason for row in found if row.outcome == outcome), ""),
        out_at=out_at,
        last_step_at=out_at,
    )
    piece.mark = make_piece_mark(piece.pk)
    piece.save(update_fields=["mark"])
    Cast.objects.filter(pk__in=[row.pk for row in found]).update(piece=piece)
    settle_ready([piece.pk], now=now)
    return piece


def settle_ready(piece_ids: Iterable[int], *, now: datetime) -> None:
    """Set when each piece is ready: known once no step with hands is left, else empty."""
    pieces = list(with_all_that_tells(Piece.objects.filter(pk__in=list(piece_ids))))
    drying = drying_now(pieces, now=now)
    for piece in pieces:
        wait = wait_of(piece, drying[piece.pk].dry_at)
        piece.ready_at = wait.due_at if wait.step is None else None
        piece.save(update_fields=["ready_at"])


def _other_part(cast: Cast, part: ArticlePart, *, is_matched: bool) -> Cast | None:
    """The cast of another part that suits this one best, locked."""
    free = (
        Cast.objects.select_for_update(no_key=True)
        .filter(
            part=part,
            piece__isnull=True,
            out_at__isnull=False,
            outcome__in=(Outcome.GOOD, Outcome.SECOND),
            piece_colour=cast.piece_colour_id,
            mix__undone_at__isnull=True,
        )
        .order_by("out_at", "pk")
    )
    if is_matched:
        first_id = cast.mix.first_id
        free = free.filter(Q(mix=first_id) | Q(mix__tops_up=first_id))
    suited = sorted(
        free,
        key=lambda row: (
            is_matched and row.mix_id != cast.mix_id,
            row.wanted_by != cast.wanted_by,
            row.outcome != cast.outcome,
        ),
    )
    return suited[0] if suited else None
