"""What is left to pour, by number: units, the streams they queue in, and the jugs that streams share.

Made by `prepare`, changed by nobody afterwards. Amounts are whole milligrams (of a supply,
whole thousandths of its unit) and thousandths of a minute.
"""

from dataclasses import dataclass, field
from math import ceil

from production.planning.measures import NOISE, PieceTakes
from production.planning.problem import Part

Amounts = tuple[tuple[int, int], ...]  # supply, thousandths of its unit
MOST = 10**18
Takes = tuple[tuple[int, int], ...]  # unit, pieces; in the order the moulds are filled


@dataclass(slots=True)
class Unit:
    """Pieces of one line that are poured alike; `wait_minutes` from opening to its first step."""

    line: int
    stream: int
    pieces: int
    latest_pour: int
    latest_opening: int
    wait_minutes: int


@dataclass(slots=True)
class Stream:
    """Units that differ only in their line, and what one piece of them takes of a mix."""

    jug: int
    parts: tuple[Part, ...]
    takes: PieceTakes
    needs: tuple[tuple[int, int], ...]  # mould, copies
    set_minutes: int
    draws: Amounts  # by a mix of one piece
    units: list[int] = field(default_factory=list)


@dataclass(slots=True)
class Jug:
    """A compound in a colour, with the streams that may share a mix of it.

    `holds_mg` is what the jug holds beside the residue. Of `powder` (a supply) a mix draws
    `powder_share` of its slurry, of each of `pigments` so much per unit of powder. The least
    is what one piece of some stream takes. `barred` is in order of time.
    """

    compound: int
    colour: str
    weigh_and_mix_minutes: int
    clean_up_minutes: int
    working_minutes: int
    residue_mg: int
    holds_mg: int
    powder: int
    powder_share: float
    pigments: tuple[tuple[int, float], ...]
    streams: list[int] = field(default_factory=list)
    least_fill_milliminutes: int = MOST
    least_slurry_mg: int = MOST
    barred: tuple[tuple[int, int], ...] = ()  # from, before: no mix of it starts

    def barred_until(self, minute: int) -> int | None:
        """The minute until which no mix may start that would start at a minute; None where one may."""
        until = minute
        for start, end in self.barred:
            if start <= until < end:
                until = end
        return until if until > minute else None

    def add(self, stream: int, takes: PieceTakes) -> None:
        """Let a stream share the jug."""
        self.streams.append(stream)
        self.least_fill_milliminutes = min(self.least_fill_milliminutes, takes.fill_milliminutes)
        self.least_slurry_mg = min(self.least_slurry_mg, takes.slurry_mg)

    def draws(self, slurry_mg: int) -> Amounts:
        """What a mix of so much slurry beside the residue uses up."""
        powder = ceil((slurry_mg + self.residue_mg) * self.powder_share - NOISE)
        if not self.pigments:
            return ((self.powder, powder),)
        pigments = ((supply, ceil(powder * per_powder - NOISE)) for supply, per_powder in self.pigments)
        return ((self.powder, powder), *pigments)

    def most_slurry_mg(self, in_hand: list[int]) -> int:
        """The most slurry beside the residue that what is in hand makes (may be negative)."""
        powder = in_hand[self.powder]
        for supply, per_powder in self.pigments:
            if per_powder > 0:
                powder = min(powder, int(in_hand[supply] / per_powder + NOISE))
        return int(powder / self.powder_share + NOISE) - self.residue_mg


@dataclass(slots=True)
class SupplyInHand:
    """A supply in thousandths of its unit; `is_powder` of some compound."""

    name: str
    opening: int
    receipts: tuple[tuple[int, int], ...]  # minute, amount
    is_powder: bool


@dataclass(slots=True)
class Filled:
    """A mix that is in its moulds at the start."""

    id: str
    ready_at: int
    opening_minutes: int
    latest_opening: int
    copies: tuple[tuple[int, int], ...]  # mould, copies
    casts: tuple[tuple[int, int, int], ...]  # line, casts, wait in minutes


@dataclass(slots=True)
class MixNeeds:
    """What a mix takes, summed over its pieces; never changed, since many runs share it."""

    fill_milliminutes: int
    opening_milliminutes: int
    set_minutes: int
    copies: tuple[tuple[int, int], ...]  # mould, copies
    draws: Amounts
