"""Copies of a mould: a new one, lent out and brought back, at the end of its life; and a kind given up."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.db import models
from django.db.models import Max

from inventory.arithmetic.photos import CleanPhoto
from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act
from inventory.operations.photos import store_photo
from production.errors import AlreadyDone, MouldNotFree, MouldPlanned, NotThere
from production.models import Cast, Mould, MouldCopy
from production.models.moulds import Ended
from production.operations.measuring import lock_mould
from production.queries.moulds import planned_mixes_with
from production.queries.wording import copies_words, counted, day_clock

COPIES_MOST = 200


@act("production.add_copies")
def add_copies(
    tap: Tap,
    *,
    mould_id: int,
    count: int = 1,
    casts_before: int = 0,
    casts_expected: int = 60,
    price_minor: int = 0,
) -> Done:
    """Note new copies of a mould; each gets the next number.

    Changes: production_mouldcopy.
    Again: the first answer, no further copies.
    Raises: NotThere; StudioError for a count or a life that cannot be meant (facts `field`).
    """
    if not 1 <= count <= COPIES_MOST:
        raise StudioError(f"{count} copies at once cannot be meant. Type 1 to {COPIES_MOST}.", field="count")
    if casts_expected < 1:
        raise StudioError(
            "A copy gives one cast at least. Type how many it should give.", field="casts_expected"
        )
    mould = Mould.objects.select_for_update(no_key=True).filter(pk=mould_id).first()
    if mould is None:
        raise NotThere("There is no such mould. Open Moulds again.", mould_id=mould_id)
    if mould.retired_on is not None:
        raise AlreadyDone(f"{mould} is retired. Take it up again first.", at=mould.retired_on)
    last = mould.copies.aggregate(last=Max("number"))["last"] or 0
    numbers = range(last + 1, last + count + 1)
    MouldCopy.objects.bulk_create(
        MouldCopy(
            mould=mould,
            number=number,
            casts_before=casts_before,
            casts_expected=casts_expected,
            price_minor=price_minor,
        )
        for number in numbers
    )
    words = copies_words(numbers) if count < 4 else f"copies {numbers[0]} to {numbers[-1]}"
    them = "it" if count == 1 else "them"
    facts = {"mould_id": mould.pk, "numbers": list(numbers)}
    return Done(f"{mould}: {words} noted. Plan again to use {them}.", facts)


@act("production.lend_copy")
def lend_copy(tap: Tap, *, copy_id: int, on: date) -> Done:
    """Note that a copy is lent out: it does not count until it is back.

    Changes: production_mouldcopy. Again: the first answer.
    Raises: NotThere; AlreadyDone; MouldNotFree while a cast is in it.
    """
    copy = _here(copy_id)
    if copy.lent_on is not None:
        raise AlreadyDone(f"{copy} was lent before, on {copy.lent_on:%d %b %Y}.", at=copy.lent_on)
    copy.lent_on = on
    copy.save(update_fields=["lent_on"])
    return Done(
        f"{copy} is lent. The next plan does without it.", {"mould_id": copy.mould_id, "copy_id": copy.pk}
    )


@act("production.bring_back_copy")
def bring_back_copy(tap: Tap, *, copy_id: int) -> Done:
    """Note that a lent copy is back.

    Changes: production_mouldcopy. Again: the first answer.
    Raises: NotThere; AlreadyDone when it was not lent.
    """
    copy = lock_copy(copy_id)
    if copy.lent_on is None:
        raise AlreadyDone(f"{copy} is here.")
    facts = {"mould_id": copy.mould_id, "copy_id": copy.pk, "lent_on": copy.lent_on.isoformat()}
    copy.lent_on = None
    copy.save(update_fields=["lent_on"])
    return Done(f"{copy} is back. Plan again to use it.", facts)


@act("production.retire_copy")
def retire_copy(tap: Tap, *, copy_id: int, on: date, ended: str = Ended.WORN) -> Done:
    """Take a copy out of use for good: worn out, broken or gone. Its casts stay in the history.

    Changes: production_mouldcopy. Again: the first answer.
    Raises: NotThere; AlreadyDone; MouldNotFree while a cast is in it.
    """
    if ended not in Ended.values:
        raise StudioError("Say whether it is worn out, broken, or sold or lost.", field="ended")
    copy = _here(copy_id)
    copy.retired_on = on
    copy.ended = ended
    copy.save(update_fields=["retired_on", "ended"])
    why = "retired" if ended == Ended.WORN else f"retired, {copy.get_ended_display()}"
    return Done(f"{copy} is {why}. Plan again without it.", {"mould_id": copy.mould_id, "copy_id": copy.pk})


@act("production.wash_copy")
def wash_copy(tap: Tap, *, copy_id: int) -> Done:
    """Note that a copy was washed, or filled with water: it is damp until its time to dry is over.

    Changes: production_mouldcopy. Again: the first answer.
    Raises: NotThere; AlreadyDone when it is retired; MouldNotFree while a cast is in it.
    """
    copy = _here(copy_id)
    before = copy.washed_at
    copy.washed_at = tap.happened_at
    copy.save(update_fields=["washed_at"])
    dry_at = tap.happened_at + timedelta(minutes=copy.mould.clean_and_dry_minutes)
    facts = {
        "mould_id": copy.mould_id,
        "copy_id": copy.pk,
        "before": before.isoformat() if before else None,
    }
    return Done(f"{copy} is washed, and dry {day_clock(dry_at, tap.now)}.", facts)


@act("production.keep_mould_photo")
def keep_mould_photo(tap: Tap, *, mould_id: int, photo: CleanPhoto) -> Done:
    """Keep a photo of a mould, in the place of the one before.

    Changes: production_mould, inventory_photo. Again: the first answer, no second photo.
    Raises: NotThere.
    """
    mould = Mould.objects.select_for_update(no_key=True).filter(pk=mould_id).first()
    if mould is None:
        raise NotThere("There is no such mould. Open Moulds again.", mould_id=mould_id)
    facts = {"mould_id": mould.pk, "before": mould.photo_id}
    mould.photo_id = store_photo(tap, photo)
    mould.save(update_fields=["photo"])
    return Done(f"{mould}: photo kept.", facts)


@act("production.retire_mould")
def retire_mould(tap: Tap, *, mould_id: int, on: date, planned: int) -> Done:
    """Give up a kind of mould with all its copies; what was cast in it stays in the history.

    `planned` is how many planned mixes the page said are poured into it.

    Changes: production_mould; its copies do not count while it is retired. Again: the first answer.
    Raises: NotThere; AlreadyDone; MouldNotFree while a cast is in one of its copies; MouldPlanned when more
    mixes are planned in it than the page said.
    """
    mould = lock_mould(mould_id)
    if mould.retired_on is not None:
        raise AlreadyDone(f"{mould} was retired before, on {mould.retired_on:%d %b %Y}.", at=mould.retired_on)
    list(mould.copies.select_for_update(no_key=True).order_by("pk"))
    cast = _casts_inside(mould_copy__mould=mould).first()
    if cast is not None:
        raise MouldNotFree(f"{cast.mould_copy} is in mix {cast.mix.number}. Open it first.", mould=mould.name)
    now_planned = planned_mixes_with(mould.pk)
    if now_planned > planned:
        raise MouldPlanned(
            f"{counted(now_planned, 'mix')} {'is' if now_planned == 1 else 'are'} planned in {mould} by now."
            " Look at it again.",
            planned=now_planned,
        )
    mould.retired_on = on
    mould.save(update_fields=["retired_on"])
    return Done(f"{mould} is retired. Plan again without it.", {"mould_id": mould.pk})


@act("production.take_up_mould")
def take_up_mould(tap: Tap, *, mould_id: int) -> Done:
    """Use a retired kind of mould again, with the copies it had.

    Changes: production_mould. Again: the first answer. Raises: NotThere; AlreadyDone.
    """
    mould = lock_mould(mould_id)
    if mould.retired_on is None:
        raise AlreadyDone(f"{mould} is in use.")
    facts = {"mould_id": mould.pk, "retired_on": mould.retired_on.isoformat()}
    mould.retired_on = None
    mould.save(update_fields=["retired_on"])
    return Done(f"{mould} is in use again. Plan again to use it.", facts)


def lock_copy(copy_id: int) -> MouldCopy:
    """The copy, locked until the act is over. Raises: NotThere."""
    copy = (
        MouldCopy.objects.select_for_update(no_key=True, of=("self",))
        .select_related("mould")
        .filter(pk=copy_id)
        .first()
    )
    if copy is None:
        raise NotThere("There is no such copy. Open Moulds again.", copy_id=copy_id)
    return copy


def _here(copy_id: int) -> MouldCopy:
    """A copy in use with nothing in it, locked."""
    copy = lock_copy(copy_id)
    if copy.retired_on is not None:
        raise AlreadyDone(f"{copy} was retired before, on {copy.retired_on:%d %b %Y}.", at=copy.retired_on)
    if copy.mould.retired_on is not None:
        raise AlreadyDone(f"{copy.mould} is retired. Take it up again first.", at=copy.mould.retired_on)
    cast = _casts_inside(mould_copy=copy).first()
    if cast is not None:
        raise MouldNotFree(f"{copy} is in mix {cast.mix.number}. Open it first.", mould=copy.mould.name)
    return copy


def _casts_inside(**of: Any) -> models.QuerySet[Cast]:
    inside = Cast.objects.filter(out_at__isnull=True, left_out_at__isnull=True, **of)
    return inside.select_related("mix", "mould_copy__mould")
