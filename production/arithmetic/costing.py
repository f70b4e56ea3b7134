"""What a piece cost: its part of the mix, what else went into it, and what it carries for failed ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from inventory.arithmetic.drawing import share_out

Outcome = Literal["good", "second", "scrap"]

CARRIED = "Seconds and scrap"
NOTHING = Fraction(0)


@dataclass(frozen=True)
class CostLine:
    """One cost, exact, in minor units.

    `name` says what for ("Sealer", "Wear of the pot's mould"). `amount` of `unit`, in thousandths for
    materials and in minutes for hands; `unit` is "" where there is nothing to count.
    """

    name: str
    exact_minor: Fraction
    amount: Fraction = NOTHING
    unit: str = ""

    def part(self, share: Fraction) -> CostLine:
        """So much of it."""
        return CostLine(self.name, self.exact_minor * share, self.amount * share, self.unit)


@dataclass(frozen=True)
class WholeLine:
    """The same in whole minor units; `exact_minor` is what they are rounded from, to say a price by."""

    name: str
    minor: int
    amount: Fraction = NOTHING
    unit: str = ""
    exact_minor: Fraction = NOTHING

    def __add__(self, other: WholeLine) -> WholeLine:
        """Both as one line of the same name."""
        return WholeLine(
            self.name,
            self.minor + other.minor,
            self.amount + other.amount,
            self.unit or other.unit,
            self.exact_minor + other.exact_minor,
        )


@dataclass(frozen=True)
class PieceFacts:
    """A piece, or the part of one that came from this mix.

    `volume` is that of its casts from this mix, in any unit that is the same for all; `own_costs` what it
    used up itself.
    """

    key: str
    volume: int
    outcome: Outcome
    own_costs: tuple[CostLine, ...] = ()


@dataclass(frozen=True)
class PieceCost:
    """The cost of one piece in whole minor units; the lines add up to `total_minor` exactly."""

    key: str
    lines: tuple[WholeLine, ...]

    @property
    def total_minor(self) -> int:
        """All lines together."""
        return sum(line.minor for line in self.lines)

    def minor_of(self, name: str) -> int:
        """The sum of the lines of that name, zero when there is none."""
        return sum(line.minor for line in self.lines if line.name == name)


@dataclass(frozen=True)
class MixCost:
    """All costs of one mix in whole minor units.

    `total_minor` = the good pieces' totals + `lost_minor`. `lost_minor` is above zero only when the mix gave
    no good piece to carry it. `failed` are the seconds and scrap with what each cost by itself, which the
    good pieces carry: `failed_minor` in all.
    """

    total_minor: int
    failed_minor: int
    lost_minor: int
    pieces: tuple[PieceCost, ...]
    failed: tuple[PieceCost, ...] = ()


def mould_wear(price_minor: int, expected_casts: int) -> Fraction:
    """Give what one cast wears off a mould copy, exact, in minor units: price / casts expected of it.

    Source: depreciation by units of production, without a value left at the end.
    """
    if expected_casts < 1 or price_minor < 0:
        raise ValueError("a mould gives one cast at least, and costs zero or more")
    return Fraction(price_minor, expected_casts)


def hands_cost(minutes: Fraction, rate_minor_per_hour: int) -> Fraction:
    """Give what minutes of hands cost at the studio's rate per hour, exact, in minor units."""
    return minutes * rate_minor_per_hour / 60


def cost_of_mix(mix_costs: Sequence[CostLine], pieces: Sequence[PieceFacts]) -> MixCost:
    """Share the cost of one mix among its pieces.

    Parameters: `mix_costs` all powder, pigment and other material drawn for the mix, including what stayed in
    the jug or the sieve, and the hands of weighing, mixing and cleaning up.

    A piece bears the mix by its volume, so residue and sieve loss are shared in the same way, and its own
    costs. Everything that seconds and scrap cost is carried by the good pieces of the same mix, by volume.
    The total is rounded half to even; pieces and their lines are parts of it by largest remainder, so nothing
    is lost.

    Raises: ValueError for no pieces, a volume not above zero or a cost below zero.

    Source: joint costs by physical measure, normal spoilage carried by the good units (see the tests).
    """
    costs = [*mix_costs, *(line for piece in pieces for line in piece.own_costs)]
    if (
        not pieces
        or any(piece.volume <= 0 for piece in pieces)
        or any(line.exact_minor < 0 for line in costs)
    ):
        raise ValueError("a mix has pieces, each with a volume, and costs zero or more")
    whole = sum(piece.volume for piece in pieces)
    bare = [_bare_lines(piece, mix_costs, whole) for piece in pieces]
    total_minor = round(_sum(line for lines in bare for line in lines))
    sides = list(zip(pieces, bare, strict=True))
    bad = [(piece, lines) for piece, lines in sides if piece.outcome != "good"]
    good = [(piece, lines) for piece, lines in sides if piece.outcome == "good"]
    lost = _sum(line for _, lines in bad for line in lines)
    failed = tuple(PieceCost(piece.key, whole_lines(lines)) for piece, lines in bad)
    if not good:
        return MixCost(total_minor, total_minor, lost_minor=total_minor, pieces=(), failed=failed)
    good_volume = sum(piece.volume for piece, _ in good)
    full = [(piece.key, [*lines, *_carried(lost * piece.volume / good_volume)]) for piece, lines in good]
    return MixCost(total_minor, round(lost), 0, _in_whole_units(total_minor, full), failed)


def whole_lines(lines: Sequence[CostLine], total_minor: int | None = None) -> tuple[WholeLine, ...]:
    """Round lines so that they add up to their rounded sum, or to `total_minor` (largest remainder)."""
    weights = [line.exact_minor for line in lines]
    total = round(sum(weights, NOTHING)) if total_minor is None else total_minor
    parts = share_out(total, weights) if sum(weights) else [0] * len(weights)
    return tuple(
        WholeLine(line.name, part, line.amount, line.unit, line.exact_minor)
        for line, part in zip(lines, parts, strict=True)
    )


def together(lines: Iterable[CostLine]) -> list[CostLine]:
    """The lines of the same name and unit as one, in the order they first come."""
    found: dict[tuple[str, str], CostLine] = {}
    for line in lines:
        met = found.get((line.name, line.unit), CostLine(line.name, NOTHING, NOTHING, line.unit))
        found[line.name, line.unit] = CostLine(
            line.name, met.exact_minor + line.exact_minor, met.amount + line.amount, line.unit
        )
    return list(found.values())


def lines_by_name(lines: Iterable[WholeLine]) -> dict[str, WholeLine]:
    """Whole lines of the same name as one, in the order they first come."""
    found: dict[str, WholeLine] = {}
    for line in lines:
        found[line.name] = found[line.name] + line if line.name in found else line
    return found


def carried_by_good(
    cast_minor: Fraction, piece_minor: Fraction, *, scrap_casts: Fraction, failed: int, good: int
) -> Fraction:
    """Give what one good piece carries on the average for those that failed, exact, in minor units.

    Parameters: `cast_minor` what a piece cost until it is out of its moulds, lost with each of
    `scrap_casts` (in pieces: one of two parts is a half); `piece_minor` what it cost until it is ready, lost
    with each of the `failed` pieces; `good` pieces carry it. Zero while there is no good piece.

    Source: normal spoilage spread over all good units (see the tests).
    """
    if not good:
        return NOTHING
    return (scrap_casts * cast_minor + failed * piece_minor) / good


def _bare_lines(piece: PieceFacts, mix_costs: Sequence[CostLine], whole: int) -> list[CostLine]:
    """Give what one piece cost by itself, whether it came out well or not."""
    share = Fraction(piece.volume, whole)
    return [*(line.part(share) for line in mix_costs), *piece.own_costs]


def _carried(exact_minor: Fraction) -> list[CostLine]:
    return [CostLine(CARRIED, exact_minor)] if exact_minor else []


def _sum(lines: Iterable[CostLine]) -> Fraction:
    return sum((line.exact_minor for line in lines), NOTHING)


def _in_whole_units(total_minor: int, full: Sequence[tuple[str, list[CostLine]]]) -> tuple[PieceCost, ...]:
    """Round pieces, then the lines of each piece, so that sums stay whole and equal."""
    exact = [_sum(lines) for _, lines in full]
    wholes = share_out(total_minor, exact) if sum(exact) else [0] * len(exact)
    return tuple(
        PieceCost(key, whole_lines(lines, whole)) for (key, lines), whole in zip(full, wholes, strict=True)
    )
