"""What pinned mixes will need is kept for them: copies of moulds, powder and pigments.

A copy that another mix took from some minute on would still be full or wet when the pinned mix starts.
From that minute on as many copies are held back as it needs, less those that are out already and come
back by then; of those the first that come back are held. Of a supply so much is held back from the start
that what comes in until then makes up the rest. All of it is let go at the minute of the pinned mix,
which goes before everything else (`pins.py`). What is left for the others is what they could use without
taking anything from it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from production.planning.prepare import Prepared
from production.planning.state import HOLD_COPIES, LET_COPIES_GO, SUPPLY_IN, Studio
from production.planning.streams import MixNeeds


@dataclass(frozen=True, slots=True)
class Reserved:
    """What a mix that is pinned to a minute needs, at least."""

    minute: int
    needs: MixNeeds


def reserve(studio: Studio, reserved: Sequence[Reserved]) -> None:
    """Note for a studio at its first minute what is held back for pinned mixes, and from when until when."""
    for one in reserved:
        for mould, count in one.needs.copies:
            number = len(studio.holds)
            studio.holds.append((mould, count))
            studio.held.append(0)
            studio.to_hold.append(0)
            studio.tell(max(0, _held_from(studio.prepared, mould, one.minute)), HOLD_COPIES, number)
            studio.tell(one.minute, LET_COPIES_GO, number)


def supplies_coming(prepared: Prepared, reserved: Sequence[Reserved]) -> tuple[list[int], list[list[int]]]:
    """(in hand, events): of each supply at the start, and (minute, supply, amount) that come free later.

    Without reservations these are the opening amounts and the receipts.
    """
    in_hand, events = [], list[list[int]]()
    for number, supply in enumerate(prepared.supplies):
        wanted = [
            (one.minute, amount) for one in reserved for drawn, amount in one.needs.draws if drawn == number
        ]
        held = _held_back(wanted, supply.receipts, -1)
        in_hand.append(supply.opening - held)
        came = dict[int, int]()
        for minute, amount in supply.receipts:
            came[minute] = came.get(minute, 0) + amount
        for minute in sorted({*came, *(minute for minute, _ in wanted)}):
            before, held = held, _held_back(wanted, supply.receipts, minute)
            events.append([minute, number, came.get(minute, 0) + before - held])
    return in_hand, events


def tell_supplies(studio: Studio, events: Sequence[Sequence[int]]) -> None:
    """Note what comes free of each supply, and when."""
    for minute, supply, amount in events:
        studio.tell(minute, SUPPLY_IN, supply, amount)


def _held_back(wanted: Sequence[tuple[int, int]], receipts: Sequence[tuple[int, int]], after: int) -> int:
    """So much has to be in hand after a minute that every pinned mix later finds its own."""
    most = needed = 0
    for minute, amount in sorted(wanted):
        if minute > after:
            needed += amount
            comes = sum(came for at, came in receipts if after < at <= minute)
            most = max(most, needed - comes)
    return most


def _held_from(prepared: Prepared, mould: int, minute: int) -> int:
    """The first start at which no mix in a mould can be opened and its copies dry by a minute."""
    turns = [
        (
            prepared.jugs[stream.jug].weigh_and_mix_minutes + -(-stream.takes.fill_milliminutes // 1000),
            stream.set_minutes,
            -(-stream.takes.opening_milliminutes // 1000),
        )
        for stream in prepared.streams
        if any(kind == mould for kind, _ in stream.needs)
    ]
    filled, sets, opening = (min(turn[place] for turn in turns) for place in range(3))
    out_by = minute - prepared.problem.moulds[mould].rest_minutes
    opens = prepared.calendar.last_fit(out_by, opening)
    return 0 if opens is None else opens - sets - filled + 1
