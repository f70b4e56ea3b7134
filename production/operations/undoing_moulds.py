"""Taking back what was noted of moulds: water fills, times, and their copies (see `undoing`)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.ports import Offer
from production.errors import LaterActsDepend
from production.models import Cast, WaterFill
from production.operations.measuring import keep_volume, lock_mould, volume_words
from production.operations.owning import lock_copy
from production.queries.wording import copies_words, listed


@act("production.undo_add_water_fill", undoes="act_id")
def undo_add_water_fill(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Leave the fill out again; it stays in the list. Without another fill the volume is what it was before.

    Raises: NothingToUndo; LaterActsDepend when the fill was left out since.
    """
    answer = act_to_undo(act_id, "production.add_water_fill").answer
    mould = lock_mould(answer["mould_id"])
    left_out = WaterFill.objects.filter(pk=answer["fill_id"], left_out_at__isnull=True).update(
        left_out_at=tap.happened_at
    )
    if not left_out:
        raise LaterActsDepend("That fill was left out since. There is nothing to undo.")
    volume = keep_volume(mould)
    if volume is None:
        mould.volume_ul = answer["volume_before_ul"]
        mould.save(update_fields=["volume_ul"])
        return Done(f"{mould}: the fill is left out.", {"mould_id": mould.pk})
    return Done(f"{mould}: the fill is left out. {volume_words(volume)}", {"mould_id": mould.pk})


@act("production.undo_leave_fill_out", undoes="act_id")
def undo_leave_fill_out(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Count the fill again, or leave it out again, as it was before.

    Raises: NothingToUndo; LaterActsDepend when that was changed since, or when no other fill counts by now.
    """
    answer = act_to_undo(act_id, "production.leave_fill_out").answer
    mould = lock_mould(answer["mould_id"])
    counts_now = not answer["left_out"]
    changed = WaterFill.objects.filter(pk=answer["fill_id"], left_out_at__isnull=counts_now).update(
        left_out_at=tap.happened_at if counts_now else None
    )
    volume = keep_volume(mould)
    if not changed or volume is None:
        raise LaterActsDepend(f"The fills of {mould} were changed since. Look at them again.")
    return Done(f"{mould}: {volume_words(volume)}", {"mould_id": mould.pk})


@act("production.undo_add_copies", undoes="act_id")
def undo_add_copies(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Strike out the copies that were noted, as if they had never been.

    Raises: NothingToUndo; LaterActsDepend once one of them was poured in.
    """
    answer = act_to_undo(act_id, "production.add_copies").answer
    mould = lock_mould(answer["mould_id"])
    copies = mould.copies.filter(number__in=answer["numbers"])
    used = Cast.objects.filter(mould_copy__in=copies).values_list("mould_copy__number", flat=True)
    worn = sorted(set(used))
    if worn:
        numbers = listed([str(number) for number in worn])
        raise LaterActsDepend(f"Copy {numbers} was poured in since. Retire it instead.", numbers=worn)
    copies.delete()
    return Done(f"{mould}: {copies_words(answer['numbers'])} struck out.", {"mould_id": mould.pk})


@act("production.undo_lend_copy", undoes="act_id")
def undo_lend_copy(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The copy was not lent after all.

    Raises: NothingToUndo; LaterActsDepend when it is back by now.
    """
    copy = lock_copy(act_to_undo(act_id, "production.lend_copy").answer["copy_id"])
    if copy.lent_on is None:
        raise LaterActsDepend(f"{copy} is back. There is nothing to undo.")
    copy.lent_on = None
    copy.save(update_fields=["lent_on"])
    return Done(f"{copy} is here.", {"mould_id": copy.mould_id})


@act("production.undo_bring_back_copy", undoes="act_id")
def undo_bring_back_copy(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The copy is still lent.

    Raises: NothingToUndo; LaterActsDepend when it was used since.
    """
    answer = act_to_undo(act_id, "production.bring_back_copy").answer
    copy = lock_copy(answer["copy_id"])
    in_it = Cast.objects.filter(mould_copy=copy, out_at__isnull=True, left_out_at__isnull=True)
    if copy.lent_on is not None or copy.retired_on is not None or in_it.exists():
        raise LaterActsDepend(f"{copy} was used since. Lend it again instead.")
    copy.lent_on = date.fromisoformat(answer["lent_on"])
    copy.save(update_fields=["lent_on"])
    return Done(f"{copy} is lent.", {"mould_id": copy.mould_id})


@act("production.undo_retire_copy", undoes="act_id")
def undo_retire_copy(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take the copy into use again.

    Raises: NothingToUndo.
    """
    copy = lock_copy(act_to_undo(act_id, "production.retire_copy").answer["copy_id"])
    copy.retired_on = None
    copy.save(update_fields=["retired_on"])
    return Done(f"{copy} is in use again. Plan again to use it.", {"mould_id": copy.mould_id})


@act("production.undo_wash_copy", undoes="act_id")
def undo_wash_copy(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The copy was not washed after all.

    Raises: NothingToUndo; LaterActsDepend when it was washed again since.
    """
    answer = act_to_undo(act_id, "production.wash_copy")
    copy = lock_copy(answer.answer["copy_id"])
    if copy.washed_at != answer.happened_at:
        raise LaterActsDepend(f"{copy} was washed again since. Undo that first.")
    before = answer.answer["before"]
    copy.washed_at = datetime.fromisoformat(before) if before else None
    copy.save(update_fields=["washed_at"])
    return Done(f"{copy}: not washed.", {"mould_id": copy.mould_id})


@act("production.undo_keep_mould_photo", undoes="act_id")
def undo_keep_mould_photo(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The photo before, or none. Raises: NothingToUndo."""
    answer = act_to_undo(act_id, "production.keep_mould_photo").answer
    mould = lock_mould(answer["mould_id"])
    mould.photo_id = answer["before"]
    mould.save(update_fields=["photo"])
    return Done(f"{mould}: photo as it was before.", {"mould_id": mould.pk})


@act("production.undo_retire_mould", undoes="act_id")
def undo_retire_mould(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Use the mould on. Raises: NothingToUndo."""
    mould = lock_mould(act_to_undo(act_id, "production.retire_mould").answer["mould_id"])
    mould.retired_on = None
    mould.save(update_fields=["retired_on"])
    return Done(f"{mould} is in use again. Plan again to use it.", {"mould_id": mould.pk})


@act("production.undo_take_up_mould", undoes="act_id")
def undo_take_up_mould(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """The mould is retired since the day it was.

    Raises: NothingToUndo; LaterActsDepend while a cast is in it.
    """
    answer = act_to_undo(act_id, "production.take_up_mould").answer
    mould = lock_mould(answer["mould_id"])
    inside = Cast.objects.filter(mould_copy__mould=mould, out_at__isnull=True, left_out_at__isnull=True)
    if inside.exists():
        raise LaterActsDepend(f"{mould} was poured in since. Open it first.")
    mould.retired_on = date.fromisoformat(answer["retired_on"])
    mould.save(update_fields=["retired_on"])
    return Done(f"{mould} is retired.", {"mould_id": mould.pk})


UNDO_MOULDS: dict[str, Callable[..., Done]] = {
    "production.add_water_fill": undo_add_water_fill,
    "production.leave_fill_out": undo_leave_fill_out,
    "production.add_copies": undo_add_copies,
    "production.lend_copy": undo_lend_copy,
    "production.bring_back_copy": undo_bring_back_copy,
    "production.retire_copy": undo_retire_copy,
    "production.retire_mould": undo_retire_mould,
    "production.take_up_mould": undo_take_up_mould,
    "production.wash_copy": undo_wash_copy,
    "production.keep_mould_photo": undo_keep_mould_photo,
}
