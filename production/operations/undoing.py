"""Taking an act back. What it posted is reversed by new postings; what later acts stand on is refused.

This module has the acts of a mix; `undoing_pieces` has those of casts and pieces, `undoing_moulds` those of
moulds and their copies.
"""

from __future__ import annotations

from collections.abc import Callable

from django.db.models import Q

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.ledger import reverse
from inventory.ports import Offer
from production.errors import LaterActsDepend
from production.models import Cast, MixDraw
from production.operations import (
    filling,
    keeping_free,
    learning,
    photographing,
    pinning,
    ranging,
    swatches,
    undoing_moulds,
    undoing_pieces,
)
from production.operations.locking import lock_casts_of, lock_mix
from production.queries.wording import clock, counted


@act("production.undo_start_mix", undoes="act_id")
def undo_start_mix(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a started mix back: the powder goes back into its tub, the copies are free, the plan wants it.

    Raises: NothingToUndo; LaterActsDepend once a mould is filled or the mix stopped; NotEnoughInContainer.
    """
    mix = lock_mix(act_to_undo(act_id, "production.start_mix").answer["mix_id"])
    casts = lock_casts_of(mix)
    poured = next((row for row in casts if row.poured_at), None)
    if poured is not None:
        raise LaterActsDepend(
            f"{poured.mould_copy} was poured {clock(poured.poured_at or tap.now)}. Undo that first.",
            cast_id=poured.pk,
        )
    if mix.poured_at is not None:
        raise LaterActsDepend(f"Mix {mix.number} was stopped {clock(mix.poured_at)}. Undo that first.")
    postings = (
        MixDraw.objects.filter(mix=mix).order_by("posting").values_list("posting", flat=True).distinct()
    )
    for posting_id in postings:
        reverse(tap, posting_id, reason=f"mix {mix.number} undone")
    Cast.objects.filter(mix=mix).update(left_out_at=tap.now)
    mix.undone_at = tap.now
    mix.planned = None
    mix.save(update_fields=["undone_at", "planned"])
    return Done(f"Mix {mix.number} undone {clock(tap.now)}. Powder and pigment are back in their tubs.", {})


@act("production.undo_pour_cast", undoes="act_id")
def undo_pour_cast(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a pour back: the mould is to be filled again.

    Raises: NothingToUndo; LaterActsDepend once the mix was stopped or the mould opened.
    """
    answer = act_to_undo(act_id, "production.pour_cast").answer
    mix = lock_mix(answer["mix_id"])
    cast = next(row for row in lock_casts_of(mix) if row.pk == answer["cast_id"])
    if cast.out_at is not None:
        raise LaterActsDepend(f"{cast.mould_copy} was opened {clock(cast.out_at)}. Undo that first.")
    if mix.is_stopped:
        raise LaterActsDepend(
            f"Mix {mix.number} was stopped {clock(mix.poured_at or tap.now)}. Undo that first."
        )
    cast.poured_at = None
    cast.save(update_fields=["poured_at"])
    mix.poured_at = None
    mix.save(update_fields=["poured_at"])
    return Done(f"{cast.mould_copy}: not poured.", {})


@act("production.undo_pour_rest", undoes="act_id")
def undo_pour_rest(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take the pouring of all that was left back: those moulds are to be filled again.

    Raises: NothingToUndo; LaterActsDepend once one of them was opened.
    """
    answer = act_to_undo(act_id, "production.pour_rest").answer
    mix = lock_mix(answer["mix_id"])
    opened = next((row for row in lock_casts_of(mix) if row.pk in answer["cast_ids"] and row.out_at), None)
    if opened is not None:
        raise LaterActsDepend(
            f"{opened.mould_copy} was opened {clock(opened.out_at or tap.now)}. Undo that first."
        )
    Cast.objects.filter(pk__in=answer["cast_ids"]).update(poured_at=None)
    mix.poured_at = None
    mix.save(update_fields=["poured_at"])
    return Done(f"Mix {mix.number} goes on: {counted(len(answer['cast_ids']), 'mould')} to fill.", {})


@act("production.undo_stop_mix", undoes="act_id")
def undo_stop_mix(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take a stop back: the moulds it left out are to be filled after all.

    Raises: NothingToUndo; LaterActsDepend once moulds were opened or a left-out copy was taken again.
    """
    answer = act_to_undo(act_id, "production.stop_mix").answer
    mix = lock_mix(answer["mix_id"])
    casts = lock_casts_of(mix)
    opened = next((row for row in casts if row.out_at), None)
    if opened is not None:
        raise LaterActsDepend(
            f"Mix {mix.number} was opened {clock(opened.out_at or tap.now)}. Undo that first."
        )
    left_out = [row for row in casts if row.pk in answer["left_out"]]
    taken = (
        Cast.objects.filter(mould_copy__in=[row.mould_copy_id for row in left_out], left_out_at=None)
        .filter(Q(out_at=None) | Q(out_at__gte=mix.poured_at))
        .select_related("mix", "mould_copy__mould")
        .first()
    )
    if taken is not None:
        raise LaterActsDepend(f"{taken.mould_copy} is in mix {taken.mix.number} now. Undo that first.")
    Cast.objects.filter(pk__in=[row.pk for row in left_out]).update(left_out_at=None)
    mix.poured_at = None if left_out else mix.poured_at
    mix.is_stopped = False
    mix.save(update_fields=["poured_at", "is_stopped"])
    return Done(f"Mix {mix.number} goes on: {counted(len(left_out), 'mould')} to fill.", {})


@act("production.undo_open_moulds", undoes="act_id")
def undo_open_moulds(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Take an opening back: the casts are in their moulds.

    Raises: NothingToUndo; LaterActsDepend once one was judged or weighed, or its copy filled again.
    """
    answer = act_to_undo(act_id, "production.open_moulds").answer
    mix = lock_mix(answer["mix_id"])
    casts = [row for row in lock_casts_of(mix) if row.pk in answer["cast_ids"]]
    judged = next((row for row in casts if row.outcome or row.out_mg), None)
    if judged is not None:
        word = judged.outcome or "weighed"
        raise LaterActsDepend(f"Copy {judged.mould_copy.number} was found {word}. Undo that first.")
    again = (
        Cast.objects.filter(mould_copy__in=[row.mould_copy_id for row in casts], left_out_at=None)
        .filter(mix__number__gt=mix.number)
        .select_related("mix", "mould_copy__mould")
        .first()
    )
    if again is not None:
        raise LaterActsDepend(f"{again.mould_copy} is in mix {again.mix.number} now. Undo that first.")
    Cast.objects.filter(pk__in=[row.pk for row in casts]).update(out_at=None, early_reason="")
    return Done(f"Mix {mix.number}: still in the mould.", {})


UNDO: dict[str, Callable[..., Done]] = {
    "production.start_mix": undo_start_mix,
    "production.pour_cast": undo_pour_cast,
    "production.pour_rest": undo_pour_rest,
    "production.stop_mix": undo_stop_mix,
    "production.open_moulds": undo_open_moulds,
    "production.judge_cast": undoing_pieces.undo_judge_cast,
    "production.set_reason": undoing_pieces.undo_set_reason,
    "production.judge_piece": undoing_pieces.undo_judge_piece,
    "production.finish_step": undoing_pieces.undo_finish_step,
    "production.weigh_piece": undoing_pieces.undo_weigh_piece,
    "production.weigh_cast": undoing_pieces.undo_weigh_cast,
    "production.call_dry": undoing_pieces.undo_call_dry,
    "production.release_mix": pinning.undo_release_mix,
    "production.set_wax_fill": filling.undo_set_wax_fill,
    "production.keep_outcome_photo": photographing.undo_keep_outcome_photo,
    "production.take_time_over": learning.undo_take_time_over,
    **keeping_free.UNDO_KEEPING_FREE,
    **undoing_moulds.UNDO_MOULDS,
    **swatches.UNDO_SWATCHES,
    **ranging.UNDO_ARTICLES,
}
