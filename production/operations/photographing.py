"""A photo of how a cast came out, or of what happened to a piece."""

from __future__ import annotations

from inventory.arithmetic.photos import CleanPhoto
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.photos import store_photo
from inventory.ports import Offer
from production.errors import LaterActsDepend, NotThere
from production.models import Cast, Piece


@act("production.keep_outcome_photo")
def keep_outcome_photo(
    tap: Tap, *, photo: CleanPhoto | None, cast_id: int | None = None, piece_id: int | None = None
) -> Done:
    """Keep a photo with a cast that was looked at, or with a piece, in the place of the one before.

    Changes: inventory_photo, production_cast or production_piece.
    Again: the first answer, no second photo.
    Raises: StudioError when no photo was chosen, or the cast was not looked at yet; NotThere.
    """
    if photo is None:
        raise StudioError("No photo was chosen. Take one, or choose a file.", field="photo")
    row = _locked(cast_id, piece_id)
    if isinstance(row, Cast) and not row.outcome:
        raise StudioError("Say first how it came out: good, second or scrap.", cast_id=cast_id)
    before = row.photo_id
    row.photo_id = store_photo(tap, photo)
    row.save(update_fields=["photo"])
    facts = {"cast_id": cast_id, "piece_id": piece_id, "photo_id": row.photo_id, "photo_before": before}
    return Done(f"{_called(row)}: photo kept.", facts)


@act("production.undo_keep_outcome_photo", undoes="act_id")
def undo_keep_outcome_photo(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Put the photo before back, or none.

    Raises: NothingToUndo; LaterActsDepend when another photo was kept since.
    """
    answer = act_to_undo(act_id, "production.keep_outcome_photo").answer
    row = _locked(answer["cast_id"], answer["piece_id"])
    if row.photo_id != answer["photo_id"]:
        raise LaterActsDepend(f"{_called(row)} has another photo since. Undo that first.")
    row.photo_id = answer["photo_before"]
    row.save(update_fields=["photo"])
    return Done(f"{_called(row)}: photo left out.", {})


def _locked(cast_id: int | None, piece_id: int | None) -> Cast | Piece:
    row: Cast | Piece | None
    if cast_id is not None:
        casts = Cast.objects.select_for_update(no_key=True, of=("self",))
        row = casts.select_related("mould_copy__mould").filter(pk=cast_id, out_at__isnull=False).first()
    else:
        pieces = Piece.objects.select_for_update(no_key=True)
        row = pieces.filter(pk=piece_id or 0, undone_at__isnull=True).first()
    if row is None:
        raise NotThere("It was undone on another screen. Open the page again.")
    return row


def _called(row: Cast | Piece) -> str:
    return row.mark if isinstance(row, Piece) else f"Copy {row.mould_copy.number}"
