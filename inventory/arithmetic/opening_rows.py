"""A file of what the stores hold when they begin: each row a tub, read, or told what to mend in it."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.arithmetic.cells import CellNotRead, day_order, read_day, shorten
from inventory.arithmetic.csv_text import CsvRow, CsvText
from inventory.arithmetic.quantities import parse_amount, parse_money
from inventory.errors import FileNotRead, StudioError

# Column -> the headings that mean it, in small letters without spaces and signs.
HEADINGS: Mapping[str, tuple[str, ...]] = {
    "material": ("material", "name", "what"),
    "kind": ("kind", "sort"),
    "unit": ("unit", "keptin"),
    "amount": ("amount", "holds", "howmuch", "quantity", "net"),
    "tub": ("tub", "code", "tubcode", "container"),
    "role": ("tubkind", "kindoftub", "role"),
    "tare": ("tare", "emptyweighs", "emptyitweighs", "empty"),
    "capacity": ("capacity", "fullholds", "fullitholds", "full"),
    "stands_at": ("standsat", "place", "where"),
    "supplier_lot": ("supplierslot", "supplierlot", "lot", "lotnumber", "supplierslotnumber"),
    "received_on": ("camein", "cameinon", "receivedon", "received"),
    "best_before": ("bestbefore", "useby", "expiry"),
    "price": ("price", "paid", "priceofallofit", "cost"),
}
NEEDED = ("material", "amount")
SHOWN: Mapping[str, str] = {
    "material": "Material",
    "kind": "Kind",
    "unit": "Unit",
    "amount": "Amount",
    "tub": "Tub",
    "role": "Kind of tub",
    "tare": "Empty weighs",
    "capacity": "Full holds",
    "stands_at": "Stands at",
    "supplier_lot": "Supplier's lot",
    "received_on": "Came in on",
    "best_before": "Best before",
    "price": "Price",
}
_UNITS = {
    **dict.fromkeys(("g", "gram", "grams", "kg", "kilogram", "mg"), "g"),
    **dict.fromkeys(("ml", "l", "litre", "litres", "millilitre", "millilitres"), "ml"),
    **dict.fromkeys(("piece", "pieces", "pcs", "pc", "each"), "piece"),
}
_ROLES = {
    **dict.fromkeys(("", "bulk", "bulk tub", "box"), "bulk"),
    **dict.fromkeys(("working", "working tub", "working box"), "working"),
}


@dataclass(frozen=True)
class KnownMaterial:
    """A material the studio has: its id and base unit."""

    material_id: int
    unit: str


@dataclass(frozen=True)
class KnownTub:
    """A tub the studio has: its material's name in small letters, and how much goes in (thousandths)."""

    material: str
    room: int
    is_empty: bool
    is_retired: bool


@dataclass(frozen=True)
class OpeningContent:
    """One whole row. Amounts in thousandths of `unit`, tare in mg, price in minor units.

    `material_id` None for a material that the file brings with it, of `kind`. `digest` names the row, so that
    it is never taken in twice.
    """

    row: int
    digest: str
    material: str
    material_id: int | None
    kind: str
    unit: str
    amount: int
    tub: str
    role: str
    tare_mg: int
    capacity: int
    stands_at: str
    supplier_lot: str
    received_on: date
    best_before: date | None
    price_minor: int


@dataclass(frozen=True)
class RowFault:
    """What is wrong with a row, in one sentence, and the column it is about."""

    row: int
    column: str
    sentence: str


@dataclass(frozen=True)
class OpeningRead:
    """A file read: whole rows, and what is wrong with the others; `guessed_days` when 3/4 could be either."""

    rows: tuple[OpeningContent, ...]
    faults: tuple[RowFault, ...]
    guessed_days: bool


@dataclass(frozen=True)
class Surroundings:
    """What the rows are read against: the studio's materials and tubs, the kinds there are, its currency.

    `materials` in use by name in small letters, `put_away` the names of those that are not; `tubs` by code.
    """

    materials: Mapping[str, KnownMaterial]
    put_away: frozenset[str]
    tubs: Mapping[str, KnownTub]
    kinds: frozenset[str]
    currency: str
    today: date


def columns_of(headings: Sequence[str]) -> dict[str, int]:
    """Give the place of each column that the headings name; the first wins.

    Raises: FileNotRead when the material or the amount has none.
    """
    found: dict[str, int] = {}
    for place, heading in enumerate(headings):
        plain = "".join(sign for sign in heading.lower() if sign.isalnum())
        for column, names in HEADINGS.items():
            if plain in names:
                found.setdefault(column, place)
    for column in NEEDED:
        if column not in found:
            raise FileNotRead(
                f"No column is headed {SHOWN[column]}. Name the columns like"
                f" {', '.join(SHOWN[name] for name in ('material', 'amount', 'tub', 'tare', 'capacity'))}.",
                reason="columns",
                column=column,
            )
    return found


def read_opening(text: CsvText, around: Surroundings) -> OpeningRead:
    """Read every row of a file; a row with anything wrong in it is told and left out whole.

    Raises: FileNotRead when a needed column is missing.
    """
    places = columns_of(text.headings)
    cells = [_cells(row, places) for row in text.rows]
    order = day_order(
        typed[name] for typed in cells for name in ("received_on", "best_before") if name in typed
    )
    reader = _Reader(around, order, Counter(), set(), dict(around.materials))
    rows: list[OpeningContent] = []
    faults: list[RowFault] = []
    for row, typed in zip(text.rows, cells, strict=True):
        try:
            rows.append(reader.read(row.number, typed))
        except _Wrong as wrong:
            faults.append(RowFault(row.number, wrong.column, wrong.sentence))
    return OpeningRead(tuple(rows), tuple(faults), order.is_used and not order.is_sure)


def _cells(row: CsvRow, places: Mapping[str, int]) -> dict[str, str]:
    """What stands under each column; an apostrophe that keeps a spreadsheet from reckoning is taken off."""
    return {
        column: row.cells[place].strip().removeprefix("'")
        for column, place in places.items()
        if place < len(row.cells)
    }


class _Wrong(Exception):
    def __init__(self, column: str, sentence: str) -> None:
        super().__init__(sentence)
        self.column = column
        self.sentence = sentence


@dataclass
class _Reader:
    """Reads rows one after the other, knowing what the rows before them bring."""

    around: Surroundings
    days: Any
    seen: Counter[str]
    tubs: set[str]
    materials: dict[str, KnownMaterial]

    def read(self, number: int, typed: Mapping[str, str]) -> OpeningContent:
        name = typed.get("material", "")
        if not name:
            raise _Wrong("material", "No material is named.")
        if name.lower() in self.around.put_away:
            raise _Wrong("material", f"{shorten(name)} is not used any more. Name another.")
        known = self.materials.get(name.lower())
        unit = known.unit if known else self._unit(name, typed)
        kind = "" if known and known.material_id else self._kind(name, typed, known)
        amount = self._amount("amount", typed.get("amount", ""), unit)
        if not amount:
            raise _Wrong("amount", "Nothing is in it. Leave the row out, or type how much there is.")
        tub = "".join(typed.get("tub", "").split()).replace("-", "").upper()
        self._check_tub(tub, name, amount)
        role = _ROLES.get(typed.get("role", "").lower())
        if role is None:
            raise _Wrong("role", f'"{shorten(typed["role"])}" is neither bulk nor working.')
        capacity = self._amount("capacity", typed.get("capacity", ""), unit) or amount
        if capacity < amount and tub not in self.around.tubs:
            raise _Wrong("capacity", "More is in it than it holds when full.")
        received_on = self._day("received_on", typed) or self.around.today
        best_before = self._day("best_before", typed)
        if received_on > self.around.today:
            raise _Wrong("received_on", "That day has not come yet.")
        content = OpeningContent(
            row=number,
            digest=self._digest(typed),
            material=name[:80],
            material_id=known.material_id or None if known else None,
            kind=kind,
            unit=unit,
            amount=amount,
            tub=tub[:8],
            role=role,
            tare_mg=self._amount("tare", typed.get("tare", ""), "g"),
            capacity=capacity,
            stands_at=typed.get("stands_at", "")[:60],
            supplier_lot=typed.get("supplier_lot", "")[:60],
            received_on=received_on,
            best_before=best_before,
            price_minor=self._price(typed.get("price", "")),
        )
        # Only a whole row brings its tub and its material.
        if tub:
            self.tubs.add(tub)
        self.materials.setdefault(name.lower(), KnownMaterial(0, unit))
        return content

    def _check_tub(self, tub: str, name: str, amount: int) -> None:
        """A tub of the file is new, or one the studio has for this material, with nothing in it yet."""
        if tub and tub in self.tubs:
            raise _Wrong("tub", f"{shorten(tub)} stands in a row above already.")
        known = self.around.tubs.get(tub)
        if known is None:
            return
        if known.is_retired:
            raise _Wrong("tub", f"{shorten(tub)} is retired, and no code is used twice.")
        if known.material != name.lower():
            raise _Wrong("tub", f"{shorten(tub)} is for another material.")
        if not known.is_empty:
            raise _Wrong("tub", f"{shorten(tub)} holds something already. Count it instead.")
        if amount > known.room:
            raise _Wrong("amount", f"More is in it than {shorten(tub)} holds when full.")

    def _unit(self, name: str, typed: Mapping[str, str]) -> str:
        unit = _UNITS.get(typed.get("unit", "").lower())
        if unit is None:
            told = shorten(typed.get("unit", ""))
            raise _Wrong(
                "unit",
                f'{shorten(name)} is new, and "{told}" is no unit. Type g, ml or piece.'
                if told
                else f"{shorten(name)} is new. Say what it is kept in: g, ml or piece.",
            )
        return unit

    def _kind(self, name: str, typed: Mapping[str, str], known: KnownMaterial | None) -> str:
        kind = typed.get("kind", "").lower()
        if kind in self.around.kinds or (known and not kind):
            return kind
        kinds = ", ".join(sorted(self.around.kinds))
        raise _Wrong("kind", f"{shorten(name)} is new. Say which kind it is: {kinds}.")

    def _amount(self, column: str, text: str, unit: str) -> int:
        if not text:
            return 0
        try:
            return parse_amount(text, unit)  # type: ignore[arg-type]
        except StudioError as fault:
            raise _Wrong(column, fault.message) from fault

    def _price(self, text: str) -> int:
        if not text:
            return 0
        try:
            return parse_money(text, self.around.currency)
        except StudioError as fault:
            raise _Wrong("price", fault.message) from fault

    def _day(self, column: str, typed: Mapping[str, str]) -> date | None:
        if not typed.get(column):
            return None
        try:
            return read_day(typed[column], self.days)
        except CellNotRead as fault:
            raise _Wrong(column, str(fault)) from fault

    def _digest(self, typed: Mapping[str, str]) -> str:
        """Name of a row by what it says; the same row twice in one file is two tubs, and named apart."""
        said = repr(sorted((column, " ".join(cell.split()).lower()) for column, cell in typed.items()))
        self.seen[said] += 1
        return hashlib.sha256(f"{self.seen[said]} {said}".encode()).hexdigest()
