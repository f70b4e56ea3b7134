"""Reckon the whole ledger again from its entries, and say what does not agree.

The entries are taken one by one in the order they were posted, from the database or from an exported file, so
that what is kept grows with the lots and tubs and not with the years. Lots and places go by any key: a row's
number, or the code that an export names them by. Amounts are thousandths of the material's unit.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

# A row's number, or the code an export names it by.
Key = Any
Entry = tuple[int, Key, Key, Key, int]

CONTAINER = "container"
SUPPLIER = "supplier"
USED = ("mix", "piece", "parcel")
WASTED = ("waste",)
DIFFERENCES = ("difference", "spill")


@dataclass(frozen=True)
class LotFacts:
    """What a lot says of itself: its code, its material, and how much came in."""

    code: str
    material: Key
    amount: int


@dataclass(frozen=True)
class PlaceFacts:
    """A place: its kind ("container", or one outside), its name, and a tub's material."""

    kind: str
    name: str
    material: Key = None


@dataclass(frozen=True)
class HoldingFault:
    """A holding that is not the sum of its entries."""

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
class BelowZero:
    """A tub that held less than nothing of a lot after a posting."""

    lot: str
    container: str
    posting: int
    amount: int

    def __str__(self) -> str:
        return f"{self.container} held {self.amount} of lot {self.lot} after posting {self.posting}"


@dataclass(frozen=True)
class LotFault:
    """A lot whose parts do not add up to what was received."""

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


@dataclass(frozen=True)
class ReceiptFault:
    """A lot that says another amount came in than its receipts do."""

    lot: str
    amount: int
    by_entries: int

    def __str__(self) -> str:
        return f"lot {self.lot} says {self.amount} came in, the entries say {self.by_entries}"


@dataclass(frozen=True)
class PostingFault:
    """A posting that is wrong in itself; `what` says how."""

    posting: int
    what: str

    def __str__(self) -> str:
        return f"posting {self.posting} {self.what}"


MOVES_NOTHING = "moves nothing"
NO_ACT = "belongs to no act: nobody did it"

Fault = HoldingFault | BelowZero | LotFault | ReceiptFault | PostingFault


@dataclass
class Recount:
    """Takes postings and their entries in the order of the postings, then says what does not agree.

    Parameters: `lots` and `places` by their keys; `reversals` maps each reversing posting to the one it takes
    back, so that only the entries of these are kept until they are compared.
    """

    lots: Mapping[Key, LotFacts]
    places: Mapping[Key, PlaceFacts]
    reversals: Mapping[int, int]
    postings_met: int = 0
    entries_met: int = 0
    _balances: dict[tuple[Key, Key], int] = field(default_factory=dict)
    _kept: dict[int, list[tuple[Key, Key, Key, int]]] = field(default_factory=lambda: defaultdict(list))
    _faults: list[Fault] = field(default_factory=list)
    _last: int = -1

    def take(self, entries: Iterable[Entry]) -> None:
        """Take entries as (posting, lot, source, destination, amount), in the order of their postings."""
        balances, places = self._balances, self.places
        compared = set(self.reversals) | set(self.reversals.values())
        short: list[tuple[Key, Key]] = []
        for posting, lot, source, destination, amount in entries:
            if posting != self._last:
                if short:
                    self._note_below_zero(short)
                    short = []
                self._begin(posting)
            self.entries_met += 1
            self._check_entry(posting, lot, source, destination, amount)
            out, into = (lot, source), (lot, destination)
            left = balances[out] = balances.get(out, 0) - amount
            balances[into] = balances.get(into, 0) + amount
            if left < 0 and source in places and places[source].kind == CONTAINER:
                short.append(out)
            if posting in compared:
                self._kept[posting].append((lot, source, destination, amount))
        if short:
            self._note_below_zero(short)

    def faults(self, holdings: Mapping[tuple[Key, Key], int]) -> list[Fault]:
        """Every fault, holdings first: against `holdings` by lot and place, then by lot, then by posting.

        Holdings that should be there and are not count as zero.
        """
        return [
            *self._holding_faults(holdings),
            *self._lot_faults(holdings),
            *self._reversal_faults(),
            *self._faults,
        ]

    def _begin(self, posting: int) -> None:
        if posting < self._last:
            self._faults.append(PostingFault(posting, f"comes after posting {self._last}: out of order"))
        self._last = posting
        self.postings_met += 1

    def _check_entry(self, posting: int, lot: Key, source: Key, destination: Key, amount: int) -> None:
        if amount <= 0 or source == destination:
            self._faults.append(PostingFault(posting, f"moves {amount} from {source} to {destination}"))
        try:
            material = self.lots[lot].material
            held, given = self.places[destination].material, self.places[source].material
        except KeyError as unknown:
            self._faults.append(PostingFault(posting, f"names {unknown.args[0]}, which is not listed"))
            return
        if (held is not None and held != material) or (given is not None and given != material):
            tub = self.places[destination if held is not None and held != material else source].name
            code = self.lots[lot].code
            self._faults.append(PostingFault(posting, f"has lot {code} in {tub}, a tub of another material"))

    def _note_below_zero(self, short: Iterable[tuple[Key, Key]]) -> None:
        """Only after the whole posting: within one, what comes in may be written after what goes out."""
        for lot, place in dict.fromkeys(short):
            amount = self._balances[lot, place]
            if amount < 0 and lot in self.lots:
                code, tub = self.lots[lot].code, self.places[place].name
                self._faults.append(BelowZero(code, tub, self._last, amount))

    def _holding_faults(self, holdings: Mapping[tuple[Key, Key], int]) -> list[Fault]:
        in_tubs = {
            key for key in self._balances if key[1] in self.places and self.places[key[1]].kind == CONTAINER
        }
        found: list[HoldingFault] = [
            HoldingFault(
                self.lots[lot].code if lot in self.lots else str(lot),
                self._tub_name(place),
                holdings.get((lot, place), 0),
                self._balances.get((lot, place), 0),
            )
            for lot, place in in_tubs | set(holdings)
            if holdings.get((lot, place), 0) != self._balances.get((lot, place), 0)
        ]
        return [*sorted(found, key=lambda fault: (fault.lot, fault.container))]

    def _tub_name(self, place: Key) -> str:
        facts = self.places.get(place)
        return facts.name if facts and facts.kind == CONTAINER else "an outside place"

    def _lot_faults(self, holdings: Mapping[tuple[Key, Key], int]) -> list[Fault]:
        sums: dict[Key, Counter[str]] = defaultdict(Counter)
        for (lot, place), amount in self._balances.items():
            if place in self.places:
                sums[lot][self.places[place].kind] += amount
        held: Counter[Key] = Counter()
        for (lot, _), amount in holdings.items():
            held[lot] += amount
        faults: list[Fault] = []
        for lot, facts in self.lots.items():
            by_kind = sums[lot]
            fault = LotFault(
                lot=facts.code,
                received=-by_kind[SUPPLIER],
                held=held[lot],
                used=sum(by_kind[kind] for kind in USED),
                wasted=sum(by_kind[kind] for kind in WASTED),
                differences=sum(by_kind[kind] for kind in DIFFERENCES),
            )
            if fault.received != fault.held + fault.used + fault.wasted + fault.differences:
                faults.append(fault)
            # A receipt that was taken back leaves a lot of which nothing came in.
            if fault.received not in (facts.amount, 0):
                faults.append(ReceiptFault(facts.code, facts.amount, fault.received))
        return faults

    def _reversal_faults(self) -> list[Fault]:
        faults: list[Fault] = []
        taken_back: set[int] = set()
        for reversing, original in sorted(self.reversals.items()):
            opposite = [(lot, to, source, amount) for lot, source, to, amount in self._kept[reversing]]
            if original in taken_back:
                faults.append(PostingFault(reversing, f"reverses posting {original}, reversed before"))
            elif original in self.reversals:
                faults.append(PostingFault(reversing, f"reverses posting {original}, itself a reversal"))
            elif reversing <= original:
                faults.append(PostingFault(reversing, f"reverses posting {original}, which comes later"))
            elif Counter(opposite) != Counter(self._kept[original]):
                faults.append(PostingFault(reversing, f"reverses posting {original}, but not exactly"))
            taken_back.add(original)
        return faults
