"""Counting a tub: what the scale says wins, and the difference is written down with its reason."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.arithmetic.drawing import draw_in_proportion, share_out
from inventory.arithmetic.tare import NetAboveCapacity, net_from_gross
from inventory.errors import StudioError
from inventory.models import Container, Entry, Material, Place, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.tubs import lock_holdings, take_tub
from inventory.queries.decant_sums import beside
from inventory.queries.wording import alike, in_words

REASONS = ("spill", "lumps", "scale", "not known")
# Where what is missing went, by reason; what the scale or nobody explains is a count difference.
_WENT_TO = {"spill": Place.Kind.SPILL, "lumps": Place.Kind.WASTE}


@act("inventory.count_container")
def count_container(
    tap: Tap, *, container_id: int, gross_mg: int | None = None, counted: int | None = None, reason: str = ""
) -> Done:
    """Take what the scale shows as what the tub holds.

    Parameters: `gross_mg` the reading, tub and all, for what is kept by weight; `counted` (thousandths of the
    unit) the content itself for the rest; `reason` one of REASONS, needed when there is a difference.
    Changes: ledger (kind count), nothing when the count agrees.
    Again: answers the first sentence.
    Raises: GrossBelowTare, NetAboveCapacity, ContainerRetired; StudioError for a missing or unfit reason, or
    for more than nothing in a tub that never held anything.
    """
    tub = take_tub(container_id)
    held = [(row.lot_id, row.amount) for row in lock_holdings([tub.place_id])]
    should = sum(amount for _, amount in held)
    there = content_read(tub, gross_mg, counted)
    unit = tub.material.unit
    facts = {"held_before": should, "counted": there}
    if there == should:
        return Done(f"{tub.code} holds {in_words(there, unit)}, as it should.", facts)
    check_reason(tub, reason, should, there)
    post(tap, Posting.Kind.COUNT, moves_of_difference(tub, held, there - should, reason), reason=reason)
    found, apart = alike(unit, there, abs(there - should))
    more_or_less = "more" if there > should else "less"
    return Done(f"{tub.code} holds {found}, {apart} {more_or_less} than it should ({reason}).", facts)


def content_read(tub: Container, gross_mg: int | None, counted: int | None) -> int:
    """What is in a tub (thousandths) by what was read: the scale with tub and all, or the content itself.

    Raises: GrossBelowTare, NetAboveCapacity; StudioError when the reading that its unit asks for is missing.
    """
    if tub.material.unit == Material.Unit.GRAM:
        if gross_mg is None:
            raise StudioError(
                f"Type what the scale shows with {tub.code} on it, tub and all.", field="reading"
            )
        with beside("reading"):
            return net_from_gross(gross_mg, tub.tare_mg, tub.capacity, tub=tub.code)
    if counted is None:
        raise StudioError(f"Type how much is in {tub.code}.", field="reading")
    if counted > tub.capacity:
        unit = tub.material.unit
        raise NetAboveCapacity(
            f"{tub.code} holds {in_words(tub.capacity, unit)}, and {in_words(counted, unit)} is more."
            " Count again.",
            field="reading",
        )
    return counted


def _difference_sentence(tub: Container, should: int, there: int) -> str:
    unit = tub.material.unit
    more_or_less = "more" if there > should else "less"
    says = "the scale says" if unit == Material.Unit.GRAM else "the count says"
    held, found, difference = alike(unit, should, there, abs(there - should))
    return f"{tub.code} should hold {held}, {says} {found}. {difference} {more_or_less}"


def moves_of_difference(
    tub: Container, held: Sequence[tuple[int, int]], difference: int, reason: str
) -> list[Move]:
    """The moves that bring a tub from what it holds of each lot (`held`) to `difference` more (or less).

    Raises: StudioError for more in a tub that never held anything.
    """
    if difference < 0:
        outwards = outside(_WENT_TO.get(reason, Place.Kind.DIFFERENCE)).pk
        return [
            Move(lot_id, tub.place_id, outwards, share)
            for lot_id, share in draw_in_proportion(held, -difference)
        ]
    inwards = outside(Place.Kind.DIFFERENCE).pk
    return [Move(lot_id, inwards, tub.place_id, share) for lot_id, share in _gains(tub, held, difference)]


def check_reason(tub: Container, reason: str, should: int, there: int) -> None:
    """Refuse a reason that is none, or that does not fit more than there should be (thousandths).

    Raises: StudioError with the difference in words.
    """
    difference, is_more = _difference_sentence(tub, should, there), there > should
    if reason not in REASONS:
        raise StudioError(f"{difference}. Choose why.", field="reason", difference=difference)
    if is_more and reason in _WENT_TO:
        raise StudioError(
            f"{difference}, and a spill or lumps make it less. Choose scale or not known.", field="reason"
        )


def _gains(tub: Container, held: Sequence[tuple[int, int]], amount: int) -> list[tuple[int, int]]:
    """The lots that what is too much belongs to: those in the tub in proportion, else the last that was."""
    if held:
        shares = share_out(amount, [holding for _, holding in held])
        return [(lot_id, share) for (lot_id, _), share in zip(held, shares, strict=True) if share]
    last = Entry.objects.filter(destination=tub.place_id).order_by("-pk").first()
    if last is None:
        raise StudioError(
            f"{tub.code} never held anything, so nothing says which lot this is. Take in a delivery instead.",
            field="reading",
        )
    return [(last.lot_id, amount)]
