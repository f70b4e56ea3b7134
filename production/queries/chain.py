"""The chain of what was made: lots into mixes, mixes into pieces; for any amount of history.

Source: one step back and one step forward at every lot (idea of ISO 22005:2007 and Regulation (EC) 178/2002,
Art. 18): who supplied which lot when, how much of it went in, and which pieces came out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Q, Sum

from inventory.queries.lot_steps import lots_once_in
from production.models import Cast, Mix, MixDraw, Piece, StepDraw

# So many ids in one query: databases take more, but not without end.
IDS_AT_ONCE = 20_000


@dataclass(frozen=True)
class Start:
    """Where a trace begins: the mixes and pieces that a code stands for."""

    kind: str
    mix_ids: tuple[int, ...]
    piece_ids: tuple[int, ...]


@dataclass(frozen=True)
class ChainSource:
    """What went in: `mix` is the number of the jug, 0 where it went on pieces in the step `into`.

    `amount` in thousandths of the material's unit.
    """

    mix: int
    into: str
    lot: str
    material: str
    unit: str
    supplier: str
    supplier_lot: str
    received_on: date
    tub: str
    amount: int


@dataclass(frozen=True)
class ChainMix:
    """One jug."""

    number: int
    compound: str
    colour: str
    started_at: datetime


@dataclass(frozen=True)
class ChainPiece:
    """One piece with the numbers of its mixes."""

    id: int
    mark: str
    article: str
    colour: str
    outcome: str
    shipped_at: datetime | None
    mixes: tuple[int, ...]


@dataclass(frozen=True)
class Chain:
    """Sources, mixes and pieces that hang together; all of them, however many."""

    sources: tuple[ChainSource, ...]
    mixes: tuple[ChainMix, ...]
    pieces: tuple[ChainPiece, ...]


def find_start(code: str) -> Start | None:
    """Where a piece, lot, tub, mix number or cast ("312-2") begins; None for anything else. Ten queries.

    A tub that was only decanted from begins with all that was made from its lots.
    """
    mark = "".join(code.split())
    piece = (
        Piece.objects.filter(mark__iexact=mark, undone_at__isnull=True).values_list("pk", flat=True).first()
    )
    if piece is not None:
        return start_of_pieces("Piece", [piece])
    for kind, drawn_from in (
        ("Lot", Q(lot__code__iexact=code)),
        ("Tub", Q(container__code__iexact=code)),
        ("Tub", Q(lot__in=lots_once_in(code))),
    ):
        mixes = _ids(MixDraw.objects.filter(drawn_from, mix__undone_at=None), "mix")
        on_pieces = _ids(StepDraw.objects.filter(drawn_from, done__undone_at=None), "done__piece")
        if mixes or on_pieces:
            pieces = sorted({*_pieces_of(mixes), *on_pieces})
            return Start(kind, tuple(sorted({*mixes, *_mixes_of(on_pieces)})), tuple(pieces))
    return _start_of_mix(code)


def _start_of_mix(code: str) -> Start | None:
    """A mix ("312", "mix 312") or one of its casts ("312-2")."""
    number, _, position = code.lower().removeprefix("mix").strip().partition("-")
    found = Mix.objects.filter(number=int(number), undone_at=None).first() if number.isdecimal() else None
    if found is None or (position and not position.isdecimal()):
        return None
    if not position:
        return Start("Mix", (found.pk,), tuple(_pieces_of([found.pk])))
    cast = Cast.objects.filter(mix=found, position=int(position)).first()
    if cast is None:
        return None
    return Start("Cast", (found.pk,), (cast.piece_id,) if cast.piece_id else ())


def start_of_pieces(kind: str, piece_ids: Sequence[int]) -> Start:
    """A trace that begins with pieces: an order's, a customer's. One query."""
    return Start(kind, tuple(_mixes_of(piece_ids)), tuple(piece_ids))


def widened(start: Start) -> Start:
    """The same with every piece of its mixes: whoever has one of them may have the same fault. One query.

    A lot or tub is the cause itself, and its pieces are all that have it: those stay as they are.
    """
    if start.kind in ("Lot", "Tub"):
        return start
    return Start(start.kind, start.mix_ids, tuple(sorted({*start.piece_ids, *_pieces_of(start.mix_ids)})))


def chain_of(start: Start) -> Chain:
    """All that hangs together at a start. Five queries for up to twenty thousand mixes and pieces."""
    mixes = {
        pk: ChainMix(number, compound, colour, started_at)
        for ids in _chunks(start.mix_ids)
        for pk, number, compound, colour, started_at in Mix.objects.filter(pk__in=ids).values_list(
            "pk", "number", "compound__name", "colour__name", "started_at"
        )
    }
    sources = tuple(_mix_sources(start.mix_ids, mixes)) + tuple(_step_sources(start.piece_ids))
    ordered = sorted(mixes.values(), key=lambda mix: mix.number)
    return Chain(sources, tuple(ordered), tuple(_pieces(start.piece_ids)))


_LOT = (
    "lot__code",
    "material__name",
    "material__unit",
    "lot__supplier__name",
    "lot__supplier_lot",
    "lot__received_on",
    "container__code",
)


def stepped_from(piece_ids: Sequence[int]) -> list[tuple[str, str]]:
    """Tubs and marks of the pieces that something went on from them after casting. One query."""
    drawn = StepDraw.objects.filter(done__piece__in=piece_ids, done__undone_at=None)
    return list(drawn.values_list("container__code", "done__piece__mark").distinct().order_by())


def _mix_sources(mix_ids: Sequence[int], mixes: dict[int, ChainMix]) -> Iterator[ChainSource]:
    for ids in _chunks(mix_ids):
        draws = MixDraw.objects.filter(mix__in=ids).order_by("mix__number", "-amount", "id")
        for mix_id, amount, lot, material, unit, supplier, theirs, came, tub in draws.values_list(
            "mix", "amount", *_LOT
        ):
            yield ChainSource(
                mixes[mix_id].number, "", lot, material, unit, supplier or "", theirs, came, tub, amount
            )


def _step_sources(piece_ids: Sequence[int]) -> Iterator[ChainSource]:
    """What went on pieces after casting, one row for each step, lot and tub."""
    sums: dict[tuple[Any, ...], int] = defaultdict(int)
    for ids in _chunks(piece_ids):
        draws = StepDraw.objects.filter(done__piece__in=ids, done__undone_at=None)
        for *key, amount in draws.values_list("done__name", *_LOT).annotate(sum=Sum("amount")):
            sums[tuple(key)] += amount
    for (step, lot, material, unit, supplier, theirs, came, tub), amount in sorted(
        sums.items(), key=lambda item: [str(part) for part in item[0]]
    ):
        yield ChainSource(0, step, lot, material, unit, supplier or "", theirs, came, tub, amount)


def _pieces(piece_ids: Sequence[int]) -> Iterator[ChainPiece]:
    for ids in _chunks(piece_ids):
        made_of: dict[int, list[int]] = defaultdict(list)
        casts = Cast.objects.filter(piece__in=ids).order_by("mix__number")
        for piece, number in casts.values_list("piece", "mix__number").distinct():
            made_of[piece].append(number)
        rows = Piece.objects.filter(pk__in=ids).order_by("pk")
        for pk, mark, article, colour, outcome, shipped_at in rows.values_list(
            "pk", "mark", "article__name", "colour__name", "outcome", "shipped_at"
        ):
            yield ChainPiece(pk, mark, article, colour, outcome, shipped_at, tuple(made_of[pk]))


def _pieces_of(mix_ids: Sequence[int]) -> list[int]:
    return sorted(
        {
            piece
            for ids in _chunks(mix_ids)
            for piece in Cast.objects.filter(mix__in=ids, piece__undone_at=None, piece__isnull=False)
            .values_list("piece", flat=True)
            .distinct()
        }
    )


def _mixes_of(piece_ids: Sequence[int]) -> list[int]:
    return sorted(
        {
            mix
            for ids in _chunks(piece_ids)
            for mix in Cast.objects.filter(piece__in=ids).values_list("mix", flat=True).distinct()
        }
    )


def _ids(rows: Any, field: str) -> list[int]:
    return sorted(rows.values_list(field, flat=True).distinct().order_by(field))


def _chunks(ids: Iterable[int]) -> Iterator[list[int]]:
    all_ids = list(ids)
    for start in range(0, len(all_ids), IDS_AT_ONCE):
        yield all_ids[start : start + IDS_AT_ONCE]
