"""What lumps cost: whether a big tub is cheaper once what the sieve kept is paid for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.arithmetic.costing import PER_KILOGRAM


@dataclass(frozen=True)
class TubSize:
    """Tubs of one size of one material (thousandths; minor units).

    `bought` and `paid_minor` say the price; `out` is what was decanted out of them and `lumps` what of it the
    sieve kept. Of a size that was never opened here both are zero.
    """

    capacity: int
    bought: int
    paid_minor: int
    out: int = 0
    lumps: int = 0

    @property
    def is_known(self) -> bool:
        """Whether any of it went through the sieve."""
        return self.out > 0

    @property
    def lost(self) -> Fraction:
        """The part of what came out that was lumps."""
        return Fraction(self.lumps, self.out) if self.out else Fraction(0)

    @property
    def bought_minor(self) -> Fraction:
        """Paid for a kilogram, a litre or a thousand pieces as bought."""
        return Fraction(self.paid_minor * PER_KILOGRAM, self.bought)

    @property
    def used_minor(self) -> Fraction:
        """Paid for a kilogram that could be used: as bought, over the part that passed the sieve."""
        return self.bought_minor / (1 - self.lost)


@dataclass(frozen=True)
class Verdict:
    """The biggest tub against the cheapest smaller one."""

    big: TubSize
    small: TubSize

    @property
    def saves_minor(self) -> Fraction:
        """What the big tub saves on each kilogram used; below zero when it is dearer."""
        return self.small.used_minor - self.big.used_minor


def is_the_big_tub_cheaper(sizes: Iterable[TubSize]) -> Verdict | None:
    """Compare the biggest size with the smaller one that is cheapest to use.

    Sizes without a price are left out, and so is one of which nothing passed the sieve. None when two sizes
    cannot be compared, or the biggest was never opened.
    """
    priced = sorted(
        (size for size in sizes if size.bought > 0 and size.paid_minor > 0 and size.lost < 1),
        key=lambda size: size.capacity,
    )
    if len(priced) < 2 or not priced[-1].is_known:
        return None
    *smaller, big = priced
    return Verdict(big, min(smaller, key=lambda size: (size.used_minor, -size.capacity)))


@dataclass(frozen=True)
class Opening:
    """One decant out of a bulk tub: so many days after it was opened, the how manieth, and what came out."""

    tub: str
    capacity: int
    age_days: int
    number: int
    out: int
    lumps: int

    @property
    def lost(self) -> Fraction:
        """The part of what came out that was lumps."""
        return Fraction(self.lumps, self.out) if self.out else Fraction(0)


def lost_by_age(
    openings: Sequence[Opening], edges_days: Sequence[int]
) -> list[tuple[int, int, Fraction | None]]:
    """Give the part lost between ages: (from day, openings, part), None where nothing was opened.

    Parameters: `edges_days` where each stretch begins, rising; the last has no end.
    """
    stretches = []
    for place, first in enumerate(edges_days):
        end = edges_days[place + 1] if place + 1 < len(edges_days) else None
        of_age = [one for one in openings if one.age_days >= first and (end is None or one.age_days < end)]
        out = sum(one.out for one in of_age)
        part = Fraction(sum(one.lumps for one in of_age), out) if out else None
        stretches.append((first, len(of_age), part))
    return stretches
