"""Keeping a day free of pours, of one colour or of all, and giving it back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from django.db.models import Q
from django.utils.timezone import localtime

from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.ports import Offer
from production.errors import DayNotKept, NotThere
from production.models import Colour, DayKeptFree
from production.operations.locking import lock_mixing
from production.queries.pins import pins_that_hold
from production.queries.progress import planned_mixes_ahead
from production.queries.wording import counted, day_clock


@act("production.keep_day_free")
def keep_day_free(tap: Tap, *, day: date, colour_id: int | None) -> Done:
    """Pour nothing of a colour (None: nothing at all) on a day, in every later plan. The plan in hand stays.

    Changes: one row. Again: the first answer.
    Raises: DayNotKept when the day is over or kept free already, or a mix of it was put there by hand;
    NotThere when there is no such colour.
    """
    lock_mixing()
    colour = None if colour_id is None else Colour.objects.filter(pk=colour_id).first()
    if colour_id is not None and colour is None:
        raise NotThere("There is no such colour. Choose one of the list.", field="colour")
    if day < localtime(tap.now).date():
        raise DayNotKept(f"{_day(day)} is over. Choose a day that is to come.", field="day")
    kept = DayKeptFree.objects.filter(day=day, given_back_at__isnull=True)
    if kept.filter(Q(colour__isnull=True) | Q(colour=colour)).exists():
        raise DayNotKept(f"{_day(day)} is kept free of {colour or 'pours'} already.", field="day")
    for pin in pins_that_hold(tap.now):
        if localtime(pin.starts_at).date() == day and colour in (None, pin.colour):
            at = day_clock(pin.starts_at, tap.now)
            said = f"A mix of {pin.colour} was put to {at} by hand. Move it, or let it go, first."
            raise DayNotKept(said, field="day")
    row = DayKeptFree.objects.create(day=day, colour=colour, kept_at=tap.now, by_id=tap.by)
    return Done(f"No {_what(row)} on {_day(day)}.{_planned_there(row)}", {"id": row.pk})


@act("production.undo_keep_day_free", undoes="act_id")
def undo_keep_day_free(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Let later plans pour on the day again.

    Raises: NothingToUndo.
    """
    row_id = act_to_undo(act_id, "production.keep_day_free").answer["id"]
    DayKeptFree.objects.filter(pk=row_id, given_back_at__isnull=True).update(given_back_at=tap.now)
    return _given_back(DayKeptFree.objects.select_related("colour").get(pk=row_id))


@act("production.give_day_back")
def give_day_back(tap: Tap, *, kept_id: int) -> Done:
    """Let later plans pour on a day again that was kept free. The plan in hand stays.

    Raises: NotThere when it is not kept free any more.
    """
    # Guarded, so that of two taps at once only one gives it back.
    if not DayKeptFree.objects.filter(pk=kept_id, given_back_at__isnull=True).update(given_back_at=tap.now):
        raise NotThere("This day is not kept free any more. Open the Week again.", kept_id=kept_id)
    return _given_back(DayKeptFree.objects.select_related("colour").get(pk=kept_id))


@act("production.undo_give_day_back", undoes="act_id")
def undo_give_day_back(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Keep the day free again, unless it was kept free anew meanwhile.

    Raises: NothingToUndo.
    """
    row_id = act_to_undo(act_id, "production.give_day_back").answer["id"]
    row = DayKeptFree.objects.select_related("colour").get(pk=row_id)
    anew = DayKeptFree.objects.filter(day=row.day, colour=row.colour, given_back_at__isnull=True)
    if not anew.exists():
        DayKeptFree.objects.filter(pk=row_id).update(given_back_at=None)
    return Done(f"No {_what(row)} on {_day(row.day)}.{_planned_there(row)}", {"id": row.pk})


UNDO_KEEPING_FREE: dict[str, Callable[..., Done]] = {
    "production.keep_day_free": undo_keep_day_free,
    "production.give_day_back": undo_give_day_back,
}


def _given_back(row: DayKeptFree) -> Done:
    what = str(row.colour) if row.colour else "Anything"
    return Done(f"{what} may be poured on {_day(row.day)} again.", {"id": row.pk})


def _what(row: DayKeptFree) -> str:
    return str(row.colour) if row.colour else "pours"


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _planned_there(row: DayKeptFree) -> str:
    """What the plan in hand has on that day, which the next one has to put elsewhere."""
    there = [
        mix
        for mix in planned_mixes_ahead()
        if localtime(mix.starts_at).date() == row.day and row.colour in (None, mix.colour)
    ]
    if not there:
        return ""
    stands, them = ("stands", "it") if len(there) == 1 else ("stand", "them")
    return f" {counted(len(there), 'mix')} {stands} there now; plan again to put {them} elsewhere."
