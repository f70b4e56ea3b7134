"""The ledger as a file: written row by row, and reckoned again from the file alone.

One file holds everything that is needed: what it is, the places, the lots, each posting followed by its
entries, what the tubs hold, and a last row that counts the rows and bears the SHA-256 of all bytes before it.
As JSON lines each row is one object; as CSV every row has the same columns and leaves empty what it has not.
Amounts are thousandths of the unit, sums of money minor units, times UTC.
"""

from __future__ import annotations

import csv
import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.arithmetic.csv_writing import csv_lines
from inventory.arithmetic.recount import (
    MOVES_NOTHING,
    NO_ACT,
    Entry,
    Fault,
    LotFacts,
    PlaceFacts,
    PostingFault,
    Recount,
)

FORM = "studio-ledger 1"
FORMATS = ("csv", "jsonl")
# The columns of every kind of row, in the order of the file.
FIELDS: dict[str, tuple[str, ...]] = {
    "ledger": ("form", "written_at", "currency"),
    "place": ("place", "kind", "material", "unit"),
    "lot": (
        "lot",
        "material",
        "unit",
        "amount",
        "supplier",
        "supplier_lot",
        "received_on",
        "best_before",
        "price_minor",
    ),
    "posting": (
        "posting",
        "kind",
        "happened_at",
        "recorded_at",
        "by",
        "reason",
        "request_key",
        "act",
        "said",
        "reverses",
    ),
    "entry": ("posting", "entry", "lot", "source", "destination", "amount"),
    "holding": ("place", "lot", "amount"),
    "end": ("places", "lots", "postings", "entries", "holdings", "sha256"),
}
COLUMNS = ("row", *dict.fromkeys(name for fields in FIELDS.values() for name in fields))
WHOLE_NUMBERS = {"posting", "entry", "reverses", "amount", "price_minor"} | {
    "places",
    "lots",
    "postings",
    "entries",
    "holdings",
}
_COUNTED = {
    "place": "places",
    "lot": "lots",
    "posting": "postings",
    "entry": "entries",
    "holding": "holdings",
}

Row = dict[str, Any]


@dataclass(frozen=True)
class FileFault:
    """What is wrong with the file itself; `line` is 0 where no line is to blame."""

    line: int
    what: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.what}" if self.line else self.what


@dataclass(frozen=True)
class CheckedFile:
    """What a file held, and what is wrong with it, the first differing holding first."""

    counts: Mapping[str, int]
    faults: tuple[Fault | FileFault, ...]


class _Unreadable(Exception):
    """A row that is no row of a ledger."""


def ledger_lines(rows: Iterable[Row], form: str) -> Iterator[str]:
    """Write rows (`row` names their kind) line by line, and the closing row with counts and digest.

    Source: RFC 4180, 2005 for CSV; RFC 8259, 2017, one object a line, for JSON.
    """
    digest = hashlib.sha256()
    counts: Counter[str] = Counter()

    def counted() -> Iterator[Row]:
        for row in rows:
            counts[_COUNTED.get(row["row"], "")] += 1
            yield row

    for line in _written(counted(), form, with_head=True):
        digest.update(line.encode())
        yield line
    end = {"row": "end", **{name: counts[name] for name in _COUNTED.values()}, "sha256": digest.hexdigest()}
    yield from _written([end], form, with_head=False)


def check_ledger_file(open_lines: Callable[[], Iterable[bytes]], form: str) -> CheckedFile:
    """Read a ledger file twice (which postings are reversed, then everything) and reckon it all again.

    Looked at: what `Recount` looks at; that no row is unreadable, missing, doubled or changed since it was
    written; that every posting moves something and belongs to an act.
    """
    try:
        with_reversals = dict(_reversals(open_lines(), form))
    except _Unreadable as fault:
        return CheckedFile({}, (FileFault(*fault.args),))
    reading = _Reading(form, with_reversals)
    recounted = reading.read(open_lines())
    return CheckedFile(reading.counts, (*recounted, *reading.faults))


def _written(rows: Iterable[Row], form: str, *, with_head: bool) -> Iterator[str]:
    if form == "jsonl":
        for row in rows:
            yield json.dumps(row, ensure_ascii=False, separators=(",", ":")) + "\n"
        return
    if with_head:
        yield from csv_lines([COLUMNS])
    yield from csv_lines([row.get(name) for name in COLUMNS] for row in rows)


def _reversals(lines: Iterable[bytes], form: str) -> Iterator[tuple[int, int]]:
    for _, row in _rows(_Hashed(lines), form):
        if row["row"] == "posting" and row.get("reverses") is not None:
            yield row["posting"], row["reverses"]


class _Hashed:
    """The lines of a file as text; each is hashed when the next is asked for: the last can be left out."""

    def __init__(self, lines: Iterable[bytes]) -> None:
        self._lines, self._before = iter(lines), b""
        self.digest, self.number = hashlib.sha256(), 0

    def __iter__(self) -> _Hashed:
        return self

    def __next__(self) -> str:
        self.digest.update(self._before)
        self._before = b""
        self._before = next(self._lines)
        self.number += 1
        try:
            return self._before.decode()
        except UnicodeDecodeError:
            raise _Unreadable(self.number, "is no UTF-8 text") from None


def _rows(lines: _Hashed, form: str) -> Iterator[tuple[int, Row]]:
    """The rows with their line numbers.

    Raises: _Unreadable.
    """
    if form == "jsonl":
        for text in lines:
            try:
                row = json.loads(text)
            except json.JSONDecodeError:
                row = None
            if not isinstance(row, dict):
                raise _Unreadable(lines.number, "is no JSON object")
            yield lines.number, _typed(row, lines.number)
        return
    try:
        reader = csv.reader(lines, strict=True)
        if tuple(next(reader, ())) != COLUMNS:
            raise _Unreadable(1, "has not the columns of a ledger")
        for cells in reader:
            if len(cells) != len(COLUMNS):
                raise _Unreadable(lines.number, f"has {len(cells)} cells, not {len(COLUMNS)}")
            row = {name: cell for name, cell in zip(COLUMNS, cells, strict=True) if cell}
            yield lines.number, _typed(row, lines.number)
    except csv.Error as fault:
        raise _Unreadable(lines.number, f"cannot be read: {fault}") from None


def _typed(row: Row, number: int) -> Row:
    """The row with whole numbers where they belong and every cell that its kind must have."""
    kind = row.get("row")
    if kind not in FIELDS:
        raise _Unreadable(number, f"is no row of a ledger: {str(kind)[:20]!r}")
    typed: Row = {name: None for name in FIELDS[kind]} | row
    for name in WHOLE_NUMBERS & set(row):
        value = row[name]
        if isinstance(value, str) and value.lstrip("-").isdecimal():
            typed[name] = int(value)
        elif value is not None and (isinstance(value, bool) or not isinstance(value, int)):
            raise _Unreadable(number, f"has {str(value)[:20]!r} for {name}, which is a whole number")
    return typed


_NEEDED = {
    "place": ("place", "kind"),
    "lot": ("lot", "material", "amount"),
    "posting": ("posting", "kind", "request_key"),
    "entry": FIELDS["entry"],
    "holding": FIELDS["holding"],
}


class _Reading:
    """One pass over a ledger file."""

    def __init__(self, form: str, reversals: Mapping[int, int]) -> None:
        self.form = form
        self.counts: Counter[str] = Counter()
        self.faults: list[Fault | FileFault] = []
        self._lots: dict[Any, LotFacts] = {}
        self._places: dict[Any, PlaceFacts] = {}
        self._holdings: dict[tuple[Any, Any], int] = {}
        self._recount = Recount(self._lots, self._places, reversals)
        self._posting: int | None = None
        self._has_entries = True
        self._is_ended = False

    def read(self, lines: Iterable[bytes]) -> list[Fault]:
        """Go through the file; what the recount finds, what is wrong with the file in `faults`."""
        hashed = _Hashed(lines)
        try:
            self._recount.take(self._entries(hashed))
        except _Unreadable as fault:
            self.faults.append(FileFault(*fault.args))
        if self._is_ended:
            return self._recount.faults(self._holdings)
        if not self.faults:
            self.faults.append(FileFault(0, "the file is cut short: its last row is missing"))
        # Half a ledger differs everywhere: only where it ends is worth saying.
        return []

    def _entries(self, lines: _Hashed) -> Iterator[Entry]:
        """The entries as the recount takes them; the rows between them are seen to on the way."""
        for number, row in _rows(lines, self.form):
            kind = row["row"]
            if self._is_ended:
                raise _Unreadable(number, "comes after the last row")
            missing = [name for name in _NEEDED.get(kind, ()) if row[name] is None]
            if missing:
                raise _Unreadable(number, f"has no {missing[0]}")
            if kind != "entry":
                self._see(number, kind, row, lines)
            else:
                self.counts["entries"] += 1
                if row["posting"] != self._posting:
                    self.faults.append(FileFault(number, f"entry {row['entry']} is under another posting"))
                self._has_entries = True
                yield row["posting"], row["lot"], row["source"], row["destination"], row["amount"]

    def _see(self, number: int, kind: str, row: Row, lines: _Hashed) -> None:
        if kind in _COUNTED:
            self.counts[_COUNTED[kind]] += 1
        if kind == "ledger":
            if number != (2 if self.form == "csv" else 1) or row["form"] != FORM:
                raise _Unreadable(number, f"is not the head of a {FORM}")
        elif kind == "place":
            self._places[row["place"]] = PlaceFacts(row["kind"], row["place"], row["material"])
        elif kind == "lot":
            self._lots[row["lot"]] = LotFacts(row["lot"], row["material"], row["amount"])
        elif kind == "posting":
            self._end_posting()
            self._posting, self._has_entries = row["posting"], False
            if not row["act"]:
                self.faults.append(PostingFault(row["posting"], NO_ACT))
        elif kind == "holding":
            self._end_posting()
            key = row["lot"], row["place"]
            if key in self._holdings:
                self.faults.append(FileFault(number, f"{row['place']} and lot {row['lot']} are here twice"))
            self._holdings[key] = row["amount"]
        else:
            self._end(number, row, lines)

    def _end_posting(self) -> None:
        if not self._has_entries and self._posting is not None:
            self.faults.append(PostingFault(self._posting, MOVES_NOTHING))
        self._has_entries = True

    def _end(self, number: int, row: Row, lines: _Hashed) -> None:
        self._end_posting()
        self._is_ended = True
        for name in _COUNTED.values():
            if row[name] != self.counts[name]:
                self.faults.append(
                    FileFault(number, f"{row[name]} {name} were written, {self.counts[name]} are here")
                )
        if row["sha256"] != lines.digest.hexdigest():
            self.faults.append(FileFault(0, "the file was changed since it was written: its digest differs"))
