"""Whether the holdings are what the entries say, and every lot is accounted for."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from django.db.models import Sum

from inventory.models import Container, Entry, Holding, Lot, Place

USED = (Place.Kind.MIX, Place.Kind.PIECE, Place.Kind.PARCEL)
DIFFERENCES = (Place.Kind.DIFFERENCE, Place.Kind.SPILL)


@dataclass(frozen=True)
class HoldingFault:
    """A holding that is not the sum of its entries (thousandths)."""

    lot: str
    container: str
    holding: int
    by_entries: int

    def __str__(self) -> str:
        return (
            f"{self.container} holds {self.holding} of lot {self.lot} by its holding,"
            f" {self.by_entries} by the entries"
        )


@dataclass(frozen=True)
class LotFault:
    """A lot whose parts do not add up to what was received (thousandths)."""

    lot: str
    received: int
    held: int
    used: int
    wasted: int
    differences: int

    def __str__(self) -> str:
        return (
            f"lot {self.lot}: received {self.received}, but held {self.held} + used {self.used}"
            f" + wasted {self.wasted} + differences {self.differences}"
            f" = {self.held + self.used + self.wasted + self.differences}"
        )


def verify_ledger() -> list[HoldingFault | LotFault]:
    """Every fault of the ledger: holdings against entries first, then lot by lot what became of it.

    Holdings that should be there and are not count as zero. Six queries, whatever the size of the ledger.
    """
    lots = dict(Lot.objects.order_by("pk").values_list("pk", "code"))
    tubs = dict(Container.objects.values_list("place_id", "code"))
    flows = _net_flows()
    holdings = {(lot, place): amount for lot, place, amount in Holding.objects.values_list(*_KEY, "amount")}
    return [*_holding_faults(flows, holdings, lots, tubs), *_lot_faults(flows, holdings, lots)]


_KEY = ("lot_id", "place_id")


def _net_flows() -> Counter[tuple[int, int]]:
    """What went into each place less what left it, by lot and place. Two queries."""
    flows: Counter[tuple[int, int]] = Counter()
    for side, sign in (("destination_id", 1), ("source_id", -1)):
        sums = Entry.objects.values_list("lot_id", side).annotate(moved=Sum("amount")).order_by()
        for lot_id, place_id, moved in sums:
            flows[lot_id, place_id] += sign * moved
    return flows


def _holding_faults(
    flows: Counter[tuple[int, int]],
    holdings: dict[tuple[int, int], int],
    lots: dict[int, str],
    tubs: dict[int, str],
) -> list[HoldingFault]:
    keys = {key for key in flows if key[1] in tubs} | set(holdings)
    return [
        HoldingFault(lots[lot_id], tubs.get(place_id, "an outside place"), holdings.get(key, 0), flows[key])
        for key in sorted(keys)
        for lot_id, place_id in [key]
        if holdings.get(key, 0) != flows[key]
    ]


def _lot_faults(
    flows: Counter[tuple[int, int]], holdings: dict[tuple[int, int], int], lots: dict[int, str]
) -> list[LotFault]:
    kinds = dict(Place.objects.exclude(kind=Place.Kind.CONTAINER).values_list("pk", "kind"))
    sums: dict[int, Counter[str]] = defaultdict(Counter)
    for (lot_id, place_id), moved in flows.items():
        if place_id in kinds:
            sums[lot_id][kinds[place_id]] += moved
    held: Counter[int] = Counter()
    for (lot_id, _), amount in holdings.items():
        held[lot_id] += amount
    faults = []
    for lot_id, code in lots.items():
        by_kind = sums[lot_id]
        fault = LotFault(
            lot=code,
            received=-by_kind[Place.Kind.SUPPLIER],
            held=held[lot_id],
            used=sum(by_kind[kind] for kind in USED),
            wasted=by_kind[Place.Kind.WASTE],
            differences=sum(by_kind[kind] for kind in DIFFERENCES),
        )
        if fault.received != fault.held + fault.used + fault.wasted + fault.differences:
            faults.append(fault)
    return faults
