"""From the bulk tub into the working tub."""

from __future__ import annotations

from datetime import datetime

from inventory.arithmetic.drawing import draw_in_proportion
from inventory.models import Container, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.tubs import (
    count_opening,
    lock_holdings,
    note_older_content,
    states_around,
    take_tubs,
)
from inventory.queries.decant_sums import Typed, decant_sums
from inventory.queries.wording import alike


@act("inventory.decant")
def decant(
    tap: Tap,
    *,
    source_id: int,
    target_id: int,
    amount: int | None = None,
    before_mg: int | None = None,
    after_mg: int | None = None,
    lumps: int = 0,
    target_after_mg: int | None = None,
) -> Done:
    """Bring powder from a bulk tub into a working tub; lumps sieved out go to waste in the same act.

    Parameters: either the two readings of the source (mg, tub and all) or `amount`, what went into the
    target; `lumps` what the sieve kept; `target_after_mg` a reading of the target to check against. Amounts
    in thousandths of the material's unit.
    Changes: ledger; counts an opening of the source and starts its opened life; the target's content counts
    as opened no later than the source's.
    Again: answers the first sentence.
    Raises: as `decant_sums`; ContainerRetired.
    """
    source, target = take_tubs([source_id, target_id])
    held = lock_holdings([source.place_id, target.place_id])
    in_source = [(row.lot_id, row.amount) for row in held if row.place_id == source.place_id]
    in_target = sum(row.amount for row in held if row.place_id == target.place_id)
    sums = decant_sums(
        source,
        sum(amount for _, amount in in_source),
        target,
        in_target,
        Typed(amount, before_mg, after_mg, lumps, target_after_mg),
    )
    shares = draw_in_proportion(in_source, sums.out)
    lost = dict(draw_in_proportion(shares, sums.lumps))
    post(
        tap,
        Posting.Kind.DECANT,
        [
            Move(lot_id, source.place_id, target.place_id, share - lost.get(lot_id, 0))
            for lot_id, share in shares
            if share > lost.get(lot_id, 0)
        ],
    )
    if lost:
        waste = outside("waste").pk
        post(
            tap,
            Posting.Kind.SIEVE_LOSS,
            [Move(lot_id, source.place_id, waste, share) for lot_id, share in lost.items()],
            reason="lumps",
        )
    with states_around([source, target]) as tubs:
        _note_openings(source, target, in_target, tap.happened_at)
    into, lumps_out, left = alike(source.material.unit, sums.into, sums.lumps, sums.source_will_hold)
    lumps_said = f", {lumps_out} lumps to waste" if sums.lumps else ""
    return Done(
        said=f"{into} into {target.code}{lumps_said}. {source.code} holds {left}.",
        facts={
            "out": sums.out,
            "into": sums.into,
            "lumps": sums.lumps,
            "source_id": source.pk,
            "tubs": tubs,
        },
    )


def _note_openings(source: Container, target: Container, held_before: int, happened_at: datetime) -> None:
    count_opening([source.pk], happened_at)
    content_opened_at = min(source.opened_at or happened_at, happened_at)
    if held_before:
        note_older_content(target, content_opened_at)
    else:
        Container.objects.filter(pk=target.pk).update(opened_at=content_opened_at, is_lumpy=False)
