"""From powder in to the last mould filled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Max

from inventory.arithmetic.quantities import format_amount
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import draw_from, draw_material
from production.errors import AlreadyDone, MixNotSetting, MouldNotFree, NotThere, WeightsChanged
from production.models import Cast, Mix, MixDraw, Mould, MouldCopy, PlannedMix
from production.operations.locking import lock_casts_of, lock_mix, lock_mixing
from production.operations.powder_tubs import note_tub
from production.queries.asked import MixAsked, asked_as_typed, asked_by_plan, asked_to_top_up
from production.queries.mix_weights import MixToWeigh, mix_to_weigh
from production.queries.progress import due_out_at
from production.queries.really_weighed import as_weighed
from production.queries.wording import clock, counted, day_clock

INTO_MIX = "mix"


@act("production.start_mix")
def start_mix(
    tap: Tap,
    *,
    planned_mix_id: int | None = None,
    tops_up_id: int | None = None,
    compound_id: int | None = None,
    colour_id: int | None = None,
    casts: Sequence[Mapping[str, Any]] = (),
    left_out: Sequence[int] = (),
    water_adjust_percent: float | None = None,
    powder_mg: int | None = None,
    tubs: Sequence[str] = (),
    weighed_mg: Mapping[str, int] | None = None,
) -> Done:
    """Note that the powder is in the water: the working time runs from `happened_at`.

    The mix is the planned one, a top-up of `tops_up_id`, or `casts` of a compound and colour. `left_out`
    names an entry once for each of its moulds that is not filled. `powder_mg` is what the page showed; if the
    mix would be another one by now it is refused, since the jug on the scale holds what was shown.
    `tubs` are the codes of those it was weighed from, where that is not left to the order of the tubs; a tub
    taken out of its turn is recorded with the draw. `weighed_mg` is what really went into the jug where it
    differs from the page, by `really_weighed.Ingredient.key`; the mix is recorded and drawn with it.

    Changes: production_mix, production_cast, production_mixdraw; the ledger by one draw for each material.
    Again: the first answer; nothing is drawn twice.
    Raises: AlreadyDone when the planned mix was started; MixRefused, MouldNotMeasured, MouldNotFree,
    NoTubToWeighFrom, NotEnoughInContainer as `queries.mix_weights` says; WeightsChanged; ReadingNotBelieved.
    """
    lock_mixing()
    asked = _asked(planned_mix_id, tops_up_id, compound_id, colour_id, casts).without(left_out)
    adjust = asked.water_adjust_percent if water_adjust_percent is None else water_adjust_percent
    made_up = mix_to_weigh(asked, now=tap.happened_at, water_adjust_percent=adjust, tubs=tubs)
    if made_up.blocks:
        raise made_up.blocks[0].fault
    _check_shown(made_up, powder_mg)
    made_up, sentences = as_weighed(made_up, weighed_mg or {})
    mix = _record(made_up, tap.happened_at)
    _draw(tap, mix, made_up)
    stiff_at = clock(stiff_by(mix))
    said = f"Mix {mix.number} started {clock(mix.started_at)}, stiff about {stiff_at}."
    for weighed in (made_up.powder, *made_up.pigments):
        if weighed and weighed.tub and weighed.tub.instead_of:
            name = "Powder" if weighed is made_up.powder else weighed.name
            said += f" {name} from {weighed.tub.code} instead of {weighed.tub.instead_of}."
    if asked.tops_up:
        said += f" Hold it against mix {asked.tops_up.number}: a second mix can differ in colour."
    return Done(" ".join([said, *sentences]), {"mix_id": mix.pk, "number": mix.number})


@act("production.pour_cast")
def pour_cast(tap: Tap, *, cast_id: int) -> Done:
    """Note that one mould is filled; with the last one the mix is poured.

    Changes: production_cast, production_mix.
    Again: the first answer.
    Raises: AlreadyDone when the mould was filled before; MixNotSetting when the mix was stopped or undone.
    """
    mix_id = Cast.objects.filter(pk=cast_id).values_list("mix", flat=True).first()
    if mix_id is None:
        raise NotThere("There is no such mould in a mix. Open the Bench again.", cast_id=cast_id)
    mix = lock_mix(mix_id)
    casts = lock_casts_of(mix)
    cast = next(row for row in casts if row.pk == cast_id)
    if cast.poured_at is not None:
        raise AlreadyDone(f"Already poured {clock(cast.poured_at)}.", at=cast.poured_at)
    if cast.left_out_at is not None or mix.poured_at is not None:
        raise MixNotSetting(
            f"Poured was not kept: mix {mix.number} was stopped on another screen at"
            f" {clock(mix.poured_at or tap.now)}.",
            mix=mix.number,
        )
    _check_after_start(tap, mix)
    cast.poured_at = tap.happened_at
    cast.save(update_fields=["poured_at"])
    left = [row for row in casts if row.poured_at is None and row.left_out_at is None]
    facts = {"cast_id": cast.pk, "mix_id": mix.pk, "was_last": not left}
    if left:
        return Done(f"{_copy_words(cast)} poured {clock(tap.happened_at)}.", facts)
    mix.poured_at = tap.happened_at
    mix.save(update_fields=["poured_at"])
    return Done(_poured_words(tap, mix, casts), facts)


@act("production.pour_rest")
def pour_rest(tap: Tap, *, mix_id: int) -> Done:
    """Note that all moulds of the mix that were left to fill are filled; the mix is poured.

    Changes: production_cast, production_mix.
    Again: the first answer.
    Raises: AlreadyDone when the mix was poured or stopped; MixNotSetting before it was started.
    """
    mix = lock_mix(mix_id)
    _check_sets(tap, mix)
    casts = lock_casts_of(mix)
    left = [row for row in casts if row.poured_at is None and row.left_out_at is None]
    for row in left:
        row.poured_at = tap.happened_at
    Cast.objects.bulk_update(left, ["poured_at"])
    mix.poured_at = tap.happened_at
    mix.save(update_fields=["poured_at"])
    facts = {"mix_id": mix.pk, "cast_ids": [row.pk for row in left]}
    return Done(_poured_words(tap, mix, casts), facts)


@act("production.stop_mix")
def stop_mix(tap: Tap, *, mix_id: int) -> Done:
    """Note that the mix went stiff: the moulds not filled yet are left out, and free at once.

    Changes: production_cast, production_mix.
    Again: the first answer.
    Raises: AlreadyDone when the mix was poured or stopped.
    """
    mix = lock_mix(mix_id)
    _check_sets(tap, mix)
    casts = lock_casts_of(mix)
    left_out = [row for row in casts if row.poured_at is None and row.left_out_at is None]
    Cast.objects.filter(pk__in=[row.pk for row in left_out]).update(left_out_at=tap.happened_at)
    mix.poured_at = tap.happened_at
    mix.is_stopped = True
    mix.save(update_fields=["poured_at", "is_stopped"])
    poured = len(casts) - len(left_out)
    said = (
        f"Mix {mix.number} stopped {clock(tap.happened_at)}: {poured} poured,"
        f" {counted(len(left_out), 'mould')} left out. Top up, or plan again."
    )
    return Done(said, {"mix_id": mix.pk, "left_out": [row.pk for row in left_out]})


def stiff_by(mix: Mix) -> datetime:
    """When the mix is stiff by the compound's working time, counted from the powder going in."""
    return mix.started_at + timedelta(minutes=mix.compound.working_time_minutes)


def _check_sets(tap: Tap, mix: Mix) -> None:
    if mix.poured_at is not None:
        ended = "stopped" if mix.is_stopped else "poured"
        raise AlreadyDone(f"Mix {mix.number} was {ended} {clock(mix.poured_at)}.", at=mix.poured_at)
    _check_after_start(tap, mix)


def _check_after_start(tap: Tap, mix: Mix) -> None:
    if tap.happened_at < mix.started_at:
        raise MixNotSetting(
            f"Mix {mix.number} was started {clock(mix.started_at)}. Type a time after that.", mix=mix.number
        )


def _poured_words(tap: Tap, mix: Mix, casts: Sequence[Cast]) -> str:
    out_at = day_clock(max(due_out_at(row) for row in casts if row.poured_at), tap.now)
    return f"Mix {mix.number} poured {clock(tap.happened_at)}. Out about {out_at}."


def _asked(
    planned_mix_id: int | None,
    tops_up_id: int | None,
    compound_id: int | None,
    colour_id: int | None,
    casts: Sequence[Mapping[str, Any]],
) -> MixAsked:
    if planned_mix_id is not None:
        # The row stands for the plan's wish: whoever holds it decides whether the mix is still to be started.
        list(PlannedMix.objects.select_for_update(no_key=True).filter(pk=planned_mix_id).values_list("pk"))
        return asked_by_plan(planned_mix_id)
    if tops_up_id is not None:
        return asked_to_top_up(tops_up_id)
    if compound_id is None or colour_id is None:
        raise NotThere("Choose what to cast, and in which colour.")
    return asked_as_typed(compound_id, colour_id, casts)


def _check_shown(made_up: MixToWeigh, powder_mg: int | None) -> None:
    assert made_up.weights is not None
    if powder_mg is not None and powder_mg != made_up.weights.powder_mg:
        shown, wanted = (format_amount(mg, "g", places=0) for mg in (powder_mg, made_up.weights.powder_mg))
        raise WeightsChanged(
            f"The page showed {shown} of powder and this mix takes {wanted} now. Open it again.",
            shown_mg=powder_mg,
            now_mg=made_up.weights.powder_mg,
        )


def _record(made_up: MixToWeigh, started_at: datetime) -> Mix:
    """Write the mix and one cast for each mould it will fill."""
    asked, weights = made_up.asked, made_up.weights
    assert weights is not None and made_up.powder is not None
    copy_ids = [fill.copy.copy_id for fill in made_up.fills if fill.copy]
    lent_or_gone = MouldCopy.objects.select_for_update(no_key=True).filter(pk__in=copy_ids).order_by("pk")
    for copy in lent_or_gone:
        if copy.lent_on or copy.retired_on:
            raise MouldNotFree(f"{copy} is not here any more. Open the page again.", mould=str(copy))
    # Read only now: whoever retires a mould holds the locks of its copies.
    given_up = Mould.objects.filter(copies__in=copy_ids, retired_on__isnull=False).first()
    if given_up is not None:
        raise MouldNotFree(f"{given_up} is retired. Open the page again.", mould=given_up.name)
    last = Mix.objects.aggregate(last=Max("number"))["last"] or 0
    mix = Mix.objects.create(
        number=last + 1,
        planned=asked.planned,
        tops_up_id=asked.tops_up.first_id if asked.tops_up else None,
        compound=asked.compound,
        colour=asked.colour,
        water_adjust_percent=made_up.water_adjust_percent,
        powder_mg=weights.powder_mg,
        water_mg=weights.water_mg,
        dry_mg_per_ul=made_up.fills[0].dry_mg_per_ul,
        is_sieved=bool(made_up.powder.tub and made_up.powder.tub.sieve),
        started_at=started_at,
    )
    Cast.objects.bulk_create(
        Cast(
            mix=mix,
            part_id=fill.part_id,
            mould_copy_id=fill.copy.copy_id,
            wanted_by=fill.wanted_by,
            piece_colour_id=fill.piece_colour_id,
            position=fill.position,
            fill_mg=fill.fill_mg,
        )
        for fill in made_up.fills
        if fill.copy
    )
    return mix


def _draw(tap: Tap, mix: Mix, made_up: MixToWeigh) -> None:
    """Take powder from its tub and each pigment from its own and as many more as it needs, lot by lot."""
    reason = f"mix {mix.number}"
    assert made_up.powder is not None and made_up.powder.tub is not None
    tub = made_up.powder.tub
    powder_reason = f"{reason}, instead of {tub.instead_of}" if tub.instead_of else reason
    drawn = list(draw_from(tap, tub.container_id, made_up.powder.amount_mg, INTO_MIX, reason=powder_reason))
    for pigment in made_up.pigments:
        from_tub = pigment.tub.code if pigment.tub else ""
        drawn += draw_material(
            tap, pigment.material_id, pigment.amount_mg, INTO_MIX, reason=reason, from_tub=from_tub
        )
    MixDraw.objects.bulk_create(
        MixDraw(
            mix=mix,
            container_id=draw.container_id,
            lot_id=draw.lot_id,
            material_id=draw.material_id,
            posting_id=draw.posting_id,
            amount=draw.amount,
        )
        for draw in drawn
    )
    note_tub(mix)


def _copy_words(cast: Cast) -> str:
    return f"{cast.mould_copy.mould} copy {cast.mould_copy.number}"
