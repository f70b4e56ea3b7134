"""Which packs to buy: the cheapest or the fewest that cover a need, and what a big pack really costs."""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

# A size of which more would be carried in than this is left out, when there is a larger one.
OF_ONE_SIZE_MOST = 500
PER_THOUSAND = 1_000_000


@dataclass(frozen=True)
class Pack:
    """One size a supplier sells: thousandths of the base unit, and its price in minor units, 0 if unknown."""

    amount: int
    price_minor: int = 0


@dataclass(frozen=True)
class Basket:
    """Packs bought together, the largest first: amount in thousandths, price in minor units."""

    packs: tuple[tuple[Pack, int], ...]

    @property
    def amount(self) -> int:
        """What all packs together hold (thousandths)."""
        return sum(pack.amount * count for pack, count in self.packs)

    @property
    def price_minor(self) -> int:
        """What all packs together cost (minor units)."""
        return sum(pack.price_minor * count for pack, count in self.packs)

    @property
    def count(self) -> int:
        """How many packs there are to carry."""
        return sum(count for _, count in self.packs)


def cheapest_packs(needed: int, packs: Iterable[Pack]) -> Basket | None:
    """Give the cheapest packs that cover `needed` (thousandths); equal prices by fewer packs, then less over.

    Sizes may be mixed. Packs without a price are left out; None when none has one, or nothing is needed.
    """
    priced = [pack for pack in packs if pack.price_minor > 0]
    return _best(needed, priced, lambda pack: (pack.price_minor, 1))


def fewest_packs(needed: int, packs: Iterable[Pack]) -> Basket | None:
    """Give the fewest packs that cover `needed` (thousandths), and of those the ones with the least over.

    Sizes may be mixed. None when there are no packs, or nothing is needed.
    """
    return _best(needed, list(packs), lambda pack: (1,))


def _best(needed: int, packs: Sequence[Pack], cost: Callable[[Pack], tuple[int, ...]]) -> Basket | None:
    """Cover `needed` at the least sum of costs, ties by what is covered: the shortest way through amounts.

    Source: E. W. Dijkstra, Numerische Mathematik 1 (1959) 269-271 (from memory). Ways are looked at by
    rising cost, so one that covers no more than another before it can be dropped.
    """
    if any(pack.amount <= 0 for pack in packs):
        raise ValueError("a pack holds something")
    if needed <= 0 or not packs:
        return None
    largest = max(pack.amount for pack in packs)
    sizes = sorted(
        {pack for pack in packs if pack.amount * OF_ONE_SIZE_MOST >= needed or pack.amount == largest},
        key=lambda pack: (-pack.amount, pack.price_minor),
    )
    none_yet = (0,) * len(cost(sizes[0]))
    ways: list[tuple[tuple[int, ...], int, tuple[int, ...]]] = [(none_yet, 0, ())]
    covered_most = -1
    while True:
        spent, covered, chosen = heapq.heappop(ways)
        if covered >= needed:
            return _basket(sizes, chosen)
        if covered <= covered_most:
            continue
        covered_most = covered
        for place, pack in enumerate(sizes):
            more = tuple(before + part for before, part in zip(spent, cost(pack), strict=True))
            heapq.heappush(ways, (more, covered + pack.amount, (*chosen, place)))


def _basket(sizes: Sequence[Pack], chosen: Sequence[int]) -> Basket:
    return Basket(tuple((sizes[place], count) for place, count in sorted(Counter(chosen).items())))


@dataclass(frozen=True)
class PackCost:
    """What one pack costs by the kilogram, the litre or the thousand pieces, in minor units.

    `per_thousand_minor` as bought; `per_used_minor` by what is used of it while it keeps: `used`
    (thousandths) of a pack that lasts `lasts_days` at the present use.
    """

    pack: Pack
    per_thousand_minor: Fraction
    used: int
    lasts_days: float
    per_used_minor: Fraction

    @property
    def outlives_opened_life(self) -> bool:
        """Whether part of it is past its opened life before it is used."""
        return self.used < self.pack.amount


def pack_cost(pack: Pack, mean_daily: float, opened_life_days: int) -> PackCost:
    """Give what a pack costs as bought, and by what can be used of it in its opened life.

    Parameters: `mean_daily` the use per day (thousandths), above zero; `opened_life_days` how long it keeps
    once opened, above zero. What is left after that counts as lost.

    Raises: ValueError for a pack that holds nothing, no use or no life.
    """
    if pack.amount <= 0 or mean_daily <= 0 or opened_life_days <= 0:
        raise ValueError("a pack holds something, is used and keeps a while")
    used = min(pack.amount, max(1, int(mean_daily * opened_life_days)))
    return PackCost(
        pack=pack,
        per_thousand_minor=Fraction(pack.price_minor * PER_THOUSAND, pack.amount),
        used=used,
        lasts_days=pack.amount / mean_daily,
        per_used_minor=Fraction(pack.price_minor * PER_THOUSAND, used),
    )


@dataclass(frozen=True)
class EatenUp:
    """A bigger pack that is cheaper as bought and dearer by what is used of it than a smaller one."""

    bigger: PackCost
    smaller: PackCost


def eaten_up(packs: Iterable[Pack], mean_daily: float, opened_life_days: int | None) -> EatenUp | None:
    """Give the pack whose lower price its opened life eats up, with the one that is cheaper in the end.

    None when the material keeps, nothing is used, or the lowest price stays the lowest.
    """
    if not opened_life_days or mean_daily <= 0:
        return None
    costs = [pack_cost(pack, mean_daily, opened_life_days) for pack in packs if pack.price_minor > 0]
    if not costs:
        return None
    bigger = min(costs, key=lambda cost: (cost.per_thousand_minor, cost.pack.amount))
    smaller = min(costs, key=lambda cost: (cost.per_used_minor, cost.pack.amount))
    if smaller.pack.amount >= bigger.pack.amount or smaller.per_used_minor >= bigger.per_used_minor:
        return None
    return EatenUp(bigger, smaller)
