"""From what the scale shows, tub and all, to what is in the tub; and how much to decant."""

from __future__ import annotations

from inventory.arithmetic.quantities import format_amount
from inventory.errors import StudioError


class GrossBelowTare(StudioError):
    """The scale shows less than the empty tub weighs; facts `gross_mg`, `tare_mg`."""


class NetAboveCapacity(StudioError):
    """The scale shows more than the tub can hold; facts `gross_mg`, `net_mg`, `capacity_mg`."""


class ReadingsTheWrongWayRound(StudioError):
    """The reading after taking out is above the one before; facts `before_mg`, `after_mg`."""


class DecantAboveCapacity(StudioError):
    """The working tub has no room for the amount; facts `held_mg`, `amount_mg`, `capacity_mg`, `most_mg`."""


def _weights(*amounts_mg: int) -> list[str]:
    """Write the weights of one sentence alike: kilograms from 500 g up, with the places they need."""
    if max(amounts_mg) < 500_000:
        return [format_amount(amount_mg, "g") for amount_mg in amounts_mg]
    places = 2 if all(amount_mg % 10_000 == 0 for amount_mg in amounts_mg) else 3
    return [format_amount(amount_mg, "g", as_unit="kg", places=places) for amount_mg in amounts_mg]


def net_from_gross(
    gross_mg: int, tare_mg: int, capacity_mg: int | None = None, *, tub: str = "the tub"
) -> int:
    """Give the net mass in mg: gross reading minus the empty tub.

    Parameters: `capacity_mg` is the most the tub holds, net, None when not known; `tub` its name.

    Raises: GrossBelowTare, NetAboveCapacity.
    """
    if gross_mg < tare_mg:
        gross, tare = _weights(gross_mg, tare_mg)
        raise GrossBelowTare(
            f"{gross} is less than the empty tub ({tare}). Is the lid or the tub off the scale?",
            gross_mg=gross_mg,
            tare_mg=tare_mg,
        )
    net_mg = gross_mg - tare_mg
    if capacity_mg is not None and net_mg > capacity_mg:
        gross, tare, net, capacity = _weights(gross_mg, tare_mg, net_mg, capacity_mg)
        raise NetAboveCapacity(
            f"{gross} less the empty tub ({tare}) is {net}, and {tub} holds {capacity}."
            " Is something else on the scale?",
            gross_mg=gross_mg,
            tare_mg=tare_mg,
            net_mg=net_mg,
            capacity_mg=capacity_mg,
        )
    return net_mg


def taken_out(before_mg: int, after_mg: int) -> int:
    """Give the mass taken out in mg, from the readings before and after, tub and all both times.

    Raises: ReadingsTheWrongWayRound when the tub got heavier.
    """
    if after_mg > before_mg:
        after, before = _weights(after_mg, before_mg)
        raise ReadingsTheWrongWayRound(
            f"The tub weighs {after} after and {before} before. Are the two the wrong way round?",
            before_mg=before_mg,
            after_mg=after_mg,
        )
    return before_mg - after_mg


def check_room(
    held_mg: int, amount_mg: int, capacity_mg: int | None, *, tub: str = "The working tub"
) -> None:
    """Refuse an amount that does not go into a tub beside what it holds; mg, capacity None when unknown.

    Raises: DecantAboveCapacity, with the most that still goes in.
    """
    if capacity_mg is None or held_mg + amount_mg <= capacity_mg:
        return
    most_mg = max(0, capacity_mg - held_mg)
    room, held, amount, both, most = _weights(capacity_mg, held_mg, amount_mg, held_mg + amount_mg, most_mg)
    raise DecantAboveCapacity(
        f"{tub} holds {room}. {amount} and {held} is {both}. Decant {most} at most.",
        held_mg=held_mg,
        amount_mg=amount_mg,
        capacity_mg=capacity_mg,
        most_mg=most_mg,
    )


def proposed_decant(
    *, still_needed_mg: int, held_mg: int, bulk_held_mg: int, capacity_mg: int | None = None
) -> int:
    """Give how much to decant in mg, so that the bulk tub is opened once for the week.

    What the planned mixes still need beyond what the working tub holds, limited by its free room and by what
    the bulk tub has; zero when nothing is needed. All amounts in mg.
    """
    wanted_mg = still_needed_mg - held_mg
    room_mg = wanted_mg if capacity_mg is None else capacity_mg - held_mg
    return max(0, min(wanted_mg, room_mg, bulk_held_mg))
