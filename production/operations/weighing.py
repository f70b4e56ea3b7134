"""The scale beside the shelf: out of the mould, on the way to dry, and dry because the owner says so."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from inventory.arithmetic.quantities import format_amount
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from production.arithmetic.dryness import judge_dryness
from production.errors import AlreadyDone, NotOutYet, ReadingNotBelieved
from production.models import Cast, Piece, Weighing
from production.operations.forming import settle_ready
from production.operations.locking import lock_pieces
from production.queries.drying_out import drying_now, expected_dry_mg, group_key, readings_of
from production.queries.drying_out import weighings_for_arithmetic as in_hours
from production.queries.progress import with_all_that_tells
from production.queries.wording import day_clock, said_clock

MASS_MOST_MG = 200_000_000


@act("production.weigh_cast")
def weigh_cast(tap: Tap, *, cast_id: int, mass_mg: int) -> Done:
    """Keep what one cast weighed out of the mould, in mg; a second weight replaces the first.

    Changes: production_cast.
    Again: the first answer.
    Raises: NotOutYet; ReadingNotBelieved when it is twice what was filled in, or less than half of it.
    """
    cast = Cast.objects.select_for_update(no_key=True).filter(pk=cast_id, out_at__isnull=False).first()
    if cast is None:
        raise NotOutYet("This cast is still in the mould. Open the mould first.", cast_id=cast_id)
    if not cast.fill_mg // 2 <= mass_mg <= cast.fill_mg * 2:
        shown, filled = format_amount(mass_mg, "g"), format_amount(cast.fill_mg, "g")
        raise ReadingNotBelieved(
            f"{shown} cannot be: {filled} was filled in. Look at the scale and type it again.",
            mass_mg=mass_mg,
            last_mg=cast.fill_mg,
            field="mass",
        )
    before = cast.out_mg
    cast.out_mg = mass_mg
    cast.save(update_fields=["out_mg"])
    if cast.piece_id is not None:
        settle_ready([cast.piece_id], now=tap.now)
    said = f"Copy {cast.mould_copy.number}: {format_amount(mass_mg, 'g')} out of the mould."
    return Done(said, {"cast_id": cast.pk, "mix_id": cast.mix_id, "mass_before": before})


@act("production.weigh_piece")
def weigh_piece(tap: Tap, *, piece_id: int, mass_mg: int, keep_anyway: bool = False) -> Done:
    """Keep one weighing of a piece, in mg, and say whether it is dry.

    `keep_anyway` keeps a reading that does not fit the ones before.

    Changes: production_weighing; the ready time of pieces that only dry.
    Again: the first answer.
    Raises: ReadingNotBelieved (`faults`: heavier than the last, or lighter than its mix can be when dry);
    PieceHasLeft.
    """
    (piece,) = lock_pieces([piece_id])
    if not 0 < mass_mg <= MASS_MOST_MG:
        raise ReadingNotBelieved("Type what the scale shows.", mass_mg=mass_mg, field="mass")
    readings = readings_of(piece)
    if readings and tap.happened_at <= readings[-1][0]:
        raise ReadingNotBelieved(
            f"The last weighing is of {day_clock(readings[-1][0], tap.now)}. Type a time after that.",
            field="mass",
        )
    _check_believed(tap, piece, mass_mg, keep_anyway=keep_anyway)
    row = Weighing.objects.create(piece=piece, weighed_at=tap.happened_at, mass_mg=mass_mg)
    settle_group(piece, now=tap.now)
    return Done(
        _verdict_said(piece.pk, readings, mass_mg, tap.now), {"piece_id": piece.pk, "weighing_id": row.pk}
    )


@act("production.call_dry")
def call_dry(tap: Tap, *, piece_ids: Sequence[int]) -> Done:
    """Take these pieces as dry from `happened_at`, whatever the hours or the scale say.

    Changes: production_piece.
    Again: the first answer.
    Raises: AlreadyDone when one was called dry before; PieceHasLeft.
    """
    pieces = lock_pieces(piece_ids)
    for piece in pieces:
        if piece.dry_called_at is not None:
            at = piece.dry_called_at
            raise AlreadyDone(f"{piece.mark} was called dry {day_clock(at, tap.now)}.", at=at)
        if tap.happened_at < piece.out_at:
            raise StudioError(f"{piece.mark} came out {day_clock(piece.out_at, tap.now)}. Type a later time.")
        if piece.steps_done:
            raise AlreadyDone(
                f"{piece.mark} has had its first step. It counts as dry.", at=piece.last_step_at
            )
    Piece.objects.filter(pk__in=[piece.pk for piece in pieces]).update(dry_called_at=tap.happened_at)
    settle_ready([piece.pk for piece in pieces], now=tap.now)
    marks = ", ".join(piece.mark for piece in pieces)
    return Done(
        f"Called dry {day_clock(tap.happened_at, tap.now)}: {marks}.", {"piece_ids": [p.pk for p in pieces]}
    )


def settle_group(piece: Piece, *, now: datetime) -> None:
    """Set the ready time of all pieces that age with this one, since its weighings tell for them."""
    alike = with_all_that_tells(
        Piece.objects.filter(
            casts__mix__in={cast.mix_id for cast in piece.casts.all()},
            article=piece.article_id,
            shipped_at__isnull=True,
            undone_at__isnull=True,
        ).distinct()
    )
    settle_ready([row.pk for row in alike if group_key(row) == group_key(piece)], now=now)


def _check_believed(tap: Tap, piece: Piece, mass_mg: int, *, keep_anyway: bool) -> None:
    readings = (*readings_of(piece), (tap.happened_at, mass_mg))
    verdict = judge_dryness(in_hours(readings), expected_dry_mg=expected_dry_mg(piece))
    if verdict.fault is None or keep_anyway:
        return
    said = verdict.sentence
    if verdict.fault == "heavier":
        at, last = readings[-2]
        more = format_amount(mass_mg - last, "g", places=1)
        said = f"Heavier than {day_clock(at, tap.now)} by {more}. Same piece? Same scale?"
    raise ReadingNotBelieved(said, fault=verdict.fault, mass_mg=mass_mg, field="mass")


def _verdict_said(piece_id: int, before: Sequence[tuple[datetime, int]], mass_mg: int, now: datetime) -> str:
    (piece,) = lock_pieces([piece_id])
    drying = drying_now([piece], now=now)[piece_id]
    assert drying.verdict is not None
    shown = f"{piece.mark} {format_amount(mass_mg, 'g', places=1)}"
    if drying.verdict.fault:
        return f"{shown} kept. It does not fit the weighings before, so they do not tell when it is dry."
    said = f"{shown}. {drying.verdict.sentence}"
    if drying.verdict.is_dry:
        return said
    if before:
        at, last = before[-1]
        said += f" {format_amount(last - mass_mg, 'g', places=1)} lighter than {day_clock(at, now)}."
    if drying.told_by == "weighed":
        sure = f", {drying.range_words}" if drying.range_words else ""
        said += f" Dry about {said_clock(drying.dry_at, now)}{sure}."
    return said
