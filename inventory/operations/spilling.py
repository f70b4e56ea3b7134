"""What went on the floor or into the bin."""

from __future__ import annotations

from inventory.arithmetic.drawing import draw_in_proportion
from inventory.errors import StudioError
from inventory.models import Place, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.tubs import count_opening, lock_holdings, states_around, take_tub
from inventory.queries.choosing import not_enough
from inventory.queries.wording import in_words

# What a person chooses, and the outside place it goes to.
WENT_TO = {"spill": Place.Kind.SPILL, "lumps": Place.Kind.WASTE, "too old": Place.Kind.WASTE}


@act("inventory.note_spill")
def note_spill(tap: Tap, *, container_id: int, amount: int, reason: str = "spill") -> Done:
    """Take a lost amount (thousandths) out of a tub, from each lot in proportion.

    Changes: ledger (kind spill); a tub that was shut counts as opened by it, one that was open as it was.
    Again: answers the first sentence.
    Raises: NotEnoughInContainer, ContainerRetired; StudioError for nothing or an unknown reason.
    """
    tub = take_tub(container_id)
    if amount <= 0:
        raise StudioError("Nothing was lost. Type how much, or leave it.", field="amount")
    if reason not in WENT_TO:
        raise StudioError(f"Choose one of {', '.join(WENT_TO)}.", field="reason")
    held = [(row.lot_id, row.amount) for row in lock_holdings([tub.place_id])]
    there = sum(holding for _, holding in held)
    if amount > there:
        fault = not_enough(tub, there, amount)
        fault.facts["field"] = "amount"
        raise fault
    destination = outside(WENT_TO[reason]).pk
    post(
        tap,
        Posting.Kind.SPILL,
        [
            Move(lot_id, tub.place_id, destination, share)
            for lot_id, share in draw_in_proportion(held, amount)
        ],
        reason=reason,
    )
    with states_around([tub]) as tubs:
        if tub.opened_at is None:
            count_opening([tub.pk], tap.happened_at)
    unit = tub.material.unit
    return Done(
        f"{in_words(amount, unit)} out of {tub.code} ({reason}). It holds {in_words(there - amount, unit)}.",
        {"amount": amount, "tubs": tubs},
    )
