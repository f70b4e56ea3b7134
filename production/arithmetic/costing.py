"""What a piece cost: its part of the mix, what else went into it, and what it carries for failed ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from inventory.arithmetic.drawing import share_out

Outcome = Literal["good", "second", "scrap"]

MIX_LINE = "mix"
CARRIED_LINE = "seconds and scrap"
HANDS_LINE = "hands"


@dataclass(frozen=True)
class CostLine:
    """One cost of one piece, exact, in minor units: `name` says what for ("sealer", "wax", "mould wear")."""

    name: str
    exact_minor: Fraction


@dataclass(frozen=True)
class PieceFacts:
    """One piece of a mix: `volume_ul` of its casts from this mix, what it used up itself, hands' minutes."""

    key: str
    volume_ul: int
    outcome: Outcome
    own_costs: tuple[CostLine, ...] = ()
    hands_minutes: Fraction = Fraction(0)


@dataclass(frozen=True)
class PieceCost:
    """The cost of one good piece in whole minor units; the lines add up to `total_minor` exactly."""

    key: str
    lines: tuple[tuple[str, int], ...]

    @property
    def total_minor(self) -> int:
        """All lines together."""
        return sum(minor for _, minor in self.lines)

    def minor_of(self, name: str) -> int:
        """The sum of the lines of that name, zero when there is none."""
        return sum(minor for line, minor in self.lines if line == name)


@dataclass(frozen=True)
class MixCost:
    """All costs of one mix in whole minor units.

    `total_minor` = the good pieces' totals + `lost_minor`. `lost_minor` is above zero only when the mix gave
    no good piece to carry it. `failed_minor` is what the seconds and scrap cost, which the good pieces carry.
    """

    total_minor: int
    failed_minor: int
    lost_minor: int
    pieces: tuple[PieceCost, ...]


def mould_wear(price_minor: int, expected_casts: int) -> Fraction:
    """Give what one cast wears off a mould copy, exact, in minor units: price / casts expected of it."""
    if expected_casts < 1 or price_minor < 0:
        raise ValueError("a mould gives one cast at least, and costs zero or more")
    return Fraction(price_minor, expected_casts)


def hands_cost(minutes: Fraction, rate_minor_per_hour: int) -> Fraction:
    """Give what minutes of hands cost at the studio's rate per hour, exact, in minor units."""
    return minutes * rate_minor_per_hour / 60


def cost_of_mix(
    mix_minor: Fraction, pieces: Sequence[PieceFacts], *, rate_minor_per_hour: int = 0
) -> MixCost:
    """Share the cost of one mix among its pieces.

    Parameters: `mix_minor` exact cost of all powder, pigment and other material drawn for the mix, including
    what stayed in the jug or the sieve, in minor units; `rate_minor_per_hour` what an hour of hands costs.

    A piece bears the mix by its volume, so residue and sieve loss are shared in the same way, and its own
    costs and hands. Everything that seconds and scrap cost is carried by the good pieces of the same mix, by
    volume. The total is rounded half to even; pieces and their lines are parts of it by largest remainder, so
    nothing is lost.

    Raises: ValueError for no pieces, a volume not above zero or a cost below zero.
    """
    if not pieces or any(piece.volume_ul <= 0 for piece in pieces) or mix_minor < 0:
        raise ValueError("a mix has pieces, each with a volume, and costs zero or more")
    all_ul = sum(piece.volume_ul for piece in pieces)
    bare = [_bare_lines(piece, mix_minor, all_ul, rate_minor_per_hour) for piece in pieces]
    total = sum((line.exact_minor for lines in bare for line in lines), Fraction(0))
    failed = sum(
        (
            line.exact_minor
            for piece, lines in zip(pieces, bare, strict=True)
            if piece.outcome != "good"
            for line in lines
        ),
        Fraction(0),
    )
    good = [(piece, lines) for piece, lines in zip(pieces, bare, strict=True) if piece.outcome == "good"]
    total_minor = round(total)
    if not good:
        return MixCost(total_minor, failed_minor=total_minor, lost_minor=total_minor, pieces=())
    good_ul = sum(piece.volume_ul for piece, _ in good)
    full = [
        (piece.key, [*lines, CostLine(CARRIED_LINE, failed * piece.volume_ul / good_ul)])
        for piece, lines in good
    ]
    return MixCost(total_minor, round(failed), lost_minor=0, pieces=_in_whole_units(total_minor, full))


def _bare_lines(
    piece: PieceFacts, mix_minor: Fraction, all_ul: int, rate_minor_per_hour: int
) -> list[CostLine]:
    """Give what one piece cost by itself, whether it came out well or not."""
    return [
        CostLine(MIX_LINE, mix_minor * piece.volume_ul / all_ul),
        *piece.own_costs,
        CostLine(HANDS_LINE, hands_cost(piece.hands_minutes, rate_minor_per_hour)),
    ]


def _in_whole_units(total_minor: int, full: Sequence[tuple[str, list[CostLine]]]) -> tuple[PieceCost, ...]:
    """Round pieces, then the lines of each piece, so that sums stay whole and equal."""
    exact = [sum((line.exact_minor for line in lines), Fraction(0)) for _, lines in full]
    wholes = share_out(total_minor, exact) if sum(exact) else [0] * len(exact)
    costs = []
    for (key, lines), whole in zip(full, wholes, strict=True):
        weights = [line.exact_minor for line in lines]
        parts = share_out(whole, weights) if sum(weights) else [0] * len(weights)
        costs.append(
            PieceCost(key, tuple((line.name, part) for line, part in zip(lines, parts, strict=True)))
        )
    return tuple(costs)
