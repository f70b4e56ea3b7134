"""Rows taken under lock, so that two screens cannot do the same thing twice.

Locks are NO KEY UPDATE: other acts may still refer to the row by foreign key meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable

from production.errors import NotThere, PieceHasLeft
from production.models import Cast, Compound, Mix, Piece
from production.queries.progress import with_all_that_tells


def lock_mixing() -> None:
    """Let one mix be started at a time: mix numbers are given out in order, and copies and tubs chosen."""
    list(Compound.objects.select_for_update(no_key=True).order_by("pk").values_list("pk"))


def lock_mix(mix_id: int) -> Mix:
    """The mix, locked until the act ends; with its compound and colour.

    Raises: NotThere when it is unknown or undone.
    """
    mix = (
        Mix.objects.select_for_update(no_key=True, of=("self",))
        .select_related("compound", "colour")
        .filter(pk=mix_id)
        .first()
    )
    if mix is None or mix.undone_at is not None:
        raise NotThere("This mix was undone. Open the Bench again.", mix_id=mix_id)
    return mix


def lock_casts_of(mix: Mix) -> list[Cast]:
    """All casts of a locked mix, locked, in the order of filling; with part, article and mould."""
    return list(
        Cast.objects.select_for_update(no_key=True, of=("self",))
        .filter(mix=mix)
        .select_related("part__article", "mould_copy__mould", "mix__compound", "piece_colour")
        .order_by("position")
    )


def lock_pieces(piece_ids: Iterable[int]) -> list[Piece]:
    """Pieces that are here, locked in the order of their ids, with what `progress` needs of them.

    Raises: NotThere when none is named, or one is unknown or undone; PieceHasLeft when one was shipped.
    """
    wanted = sorted(set(piece_ids))
    if not wanted:
        raise NotThere("No pieces were chosen. Tick those it was done on.")
    list(Piece.objects.select_for_update(no_key=True).filter(pk__in=wanted).order_by("pk").values_list("pk"))
    pieces = list(
        with_all_that_tells(Piece.objects.filter(pk__in=wanted, undone_at__isnull=True).order_by("pk"))
    )
    if len(pieces) < len(wanted):
        raise NotThere("This piece was undone on another screen. Open the Shelf again.", piece_ids=wanted)
    for piece in pieces:
        if piece.shipped_at is not None:
            raise PieceHasLeft(f"{piece.mark} was shipped. Nothing was changed.", mark=piece.mark)
    return pieces
