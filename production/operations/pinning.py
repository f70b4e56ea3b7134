"""Putting a mix to a time by hand, letting it go again, and taking the newest plan back."""

from __future__ import annotations

from datetime import datetime

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.ports import Offer
from production.errors import LaterActsDepend, NotThere
from production.models import Mix, MixPin, Plan
from production.operations.locking import lock_mixing
from production.queries.progress import newest_plan
from production.queries.wording import day_clock


def pin_mix(
    tap: Tap, *, compound_id: int, colour_id: int, starts_at: datetime, instead_of: int | None
) -> int:
    """Hold a mix at a time in every later plan; answers the pin's id. A part of an act.

    `instead_of` is the pin that held it elsewhere until now.
    """
    if instead_of is not None:
        MixPin.objects.filter(pk=instead_of, released_at__isnull=True).update(released_at=tap.now)
    pin = MixPin.objects.create(
        compound_id=compound_id, colour_id=colour_id, starts_at=starts_at, pinned_at=tap.now, by_id=tap.by
    )
    return pin.pk


@act("production.release_mix")
def release_mix(tap: Tap, *, pin_id: int) -> Done:
    """Let a mix that was put to a time by hand be moved by later plans. The plan in hand stays as it is.

    Raises: NotThere when it was let go before.
    """
    pin = MixPin.objects.select_for_update(no_key=True, of=("self",)).filter(pk=pin_id).first()
    if pin is None or pin.released_at is not None:
        raise NotThere("This mix is not held at its time any more. Open the Week again.", pin_id=pin_id)
    pin.released_at = tap.now
    pin.save(update_fields=["released_at"])
    return Done(
        f"{pin.colour}, {day_clock(pin.starts_at, tap.now)}: the next plan may move it.", {"pin_id": pin.pk}
    )


@act("production.undo_release_mix", undoes="act_id")
def undo_release_mix(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Hold the mix at its time again.

    Raises: NothingToUndo.
    """
    pin_id = act_to_undo(act_id, "production.release_mix").answer["pin_id"]
    MixPin.objects.filter(pk=pin_id).update(released_at=None)
    pin = MixPin.objects.select_related("colour").get(pk=pin_id)
    return Done(f"{pin.colour} stays at {day_clock(pin.starts_at, tap.now)}.", {"pin_id": pin.pk})


@act("production.take_plan_back")
def take_plan_back(tap: Tap, *, plan_id: int) -> Done:
    """Go back to the plan before the newest one.

    Changes: the newest plan is marked as taken back. Again: the first answer.
    Raises: NotThere when it is not the newest or there is none before it; LaterActsDepend.
    """
    return _take_back(tap, plan_id)


def undo_of_move(tap: Tap, *, act_name: str, act_id: int) -> Done:
    """Go back to the plan before a mix was moved, and hold the mix where it was held then. A part of an act.

    Raises: NothingToUndo; NotThere; LaterActsDepend.
    """
    answer = act_to_undo(act_id, act_name).answer
    done = _take_back(tap, answer["plan_id"])
    MixPin.objects.filter(pk=answer["pin_id"]).update(released_at=tap.now)
    if answer["instead_of"] is not None:
        MixPin.objects.filter(pk=answer["instead_of"]).update(released_at=None)
    return done


def _take_back(tap: Tap, plan_id: int) -> Done:
    lock_mixing()
    newest = newest_plan()
    if newest is None or newest.pk != plan_id:
        raise NotThere("A newer plan was made since. Open the Week again.", plan_id=plan_id)
    started = Mix.objects.filter(planned__plan=newest, undone_at__isnull=True).order_by("number").first()
    if started is not None:
        raise LaterActsDepend(f"Mix {started.number} was started from this plan. Plan again instead.")
    # Guarded, so that of two taps at once only one takes it back.
    if not Plan.objects.filter(pk=newest.pk, undone_at__isnull=True).update(undone_at=tap.now):
        raise NotThere("This plan was taken back before. Open the Week again.", plan_id=plan_id)
    before = newest_plan()
    if before is None:
        raise NotThere("There is no plan before this one.", plan_id=plan_id)
    return Done(f"Back to the plan of {day_clock(before.adopted_at, tap.now)}.", {"plan_id": before.pk})
