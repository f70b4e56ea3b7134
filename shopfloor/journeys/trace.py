"""From any piece, lot, tub, mix, cast, order or customer to everything it touched."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from inventory.arithmetic.codes import near_codes, tidy_mark
from inventory.drawings.shapes import Drawn
from inventory.queries.wording import in_words
from orders.queries.trace import (
    PackedIn,
    WentTo,
    came_back_from,
    packed_in,
    pieces_of_customer,
    pieces_of_order,
    pieces_packed_in,
    went_to,
)
from production.drawings.chain import DRAWN_MOST, Column, Node, chain_picture
from production.queries.chain import Chain, Start, chain_of, find_start, start_of_pieces, stepped_from
from production.queries.trace import TracedMix, known_marks, traced_mixes

MIXES_MOST = 50


@dataclass(frozen=True)
class Trace:
    """What was found for one code: `kind` of thing, the chain it hangs in, its newest mixes in full, and
    where their pieces are and what they were packed in. An unknown code has no `start` and names the marks
    near it."""

    code: str
    kind: str
    start: Start | None
    chain: Chain
    mixes: tuple[TracedMix, ...]
    went_to: Mapping[int, WentTo]
    near: tuple[str, ...]
    more_mixes: int = 0
    packed: tuple[PackedIn, ...] = ()


NOTHING = Chain((), (), ())


def trace(code: str) -> Trace:
    """Everything that `code` touched: a piece mark, lot, tub, mix or cast number, order number, customer.

    At most twenty queries, however much history.
    """
    code = code.strip()
    start = start_for(code)
    if start is None:
        mark = tidy_mark(code)
        near = tuple(near_codes(mark, known_marks(mark)))
        return Trace(code, "", None, NOTHING, (), {}, near)
    if start.kind in ("Mix", "Cast"):
        code = code.lower().removeprefix("mix").strip()
    chain = chain_of(start)
    numbers = [mix.number for mix in reversed(chain.mixes)]
    mixes = traced_mixes(numbers[:MIXES_MOST])
    ids = {piece.piece_id for mix in mixes for piece in mix.pieces} | {piece.id for piece in chain.pieces}
    more = max(0, len(numbers) - MIXES_MOST)
    packed = tuple(packed_in(piece.id for piece in chain.pieces))
    return Trace(code, start.kind, start, chain, tuple(mixes), went_to(ids), (), more, packed)


def start_for(code: str) -> Start | None:
    """Where the trace of a code begins; None for one that nothing was made from or went to."""
    if not code:
        return None
    found = find_start(code)
    if found is not None:
        return found
    kind, packed = pieces_packed_in(code)
    if packed:
        return start_of_pieces(kind, packed)
    for kind, pieces in (("Order", pieces_of_order(code)), ("Customer", pieces_of_customer(code))):
        if pieces:
            return start_of_pieces(kind, pieces)
    return None


def picture_of(found: Trace) -> Drawn:
    """The chain drawn: lots, the tubs they were in, mixes, pieces, and the orders they are for or left with.

    What went on pieces after casting, and what they were packed in, goes past the mixes.
    """
    chain = found.chain
    lots: dict[str, Node] = {}
    tubs: dict[str, Node] = {}
    links: list[tuple[str, str]] = []
    for source in (*chain.sources, *found.packed):
        lots.setdefault(source.lot, Node(f"lot {source.lot}", source.lot, source.material))
        tubs.setdefault(source.tub, Node(f"tub {source.tub}", source.tub, source.material))
        links.append((f"lot {source.lot}", f"tub {source.tub}"))
    links += [(f"tub {source.tub}", f"mix {source.mix}") for source in chain.sources if source.mix]
    links += [(f"tub {one.tub}", f"order {one.order}") for one in found.packed]
    shown = [piece.id for piece in chain.pieces[:DRAWN_MOST]]
    links += [(f"tub {tub}", f"piece {mark}") for tub, mark in stepped_from(shown)]
    orders: dict[str, Node] = {}
    for piece in chain.pieces:
        links += [(f"mix {number}", f"piece {piece.mark}") for number in piece.mixes]
        went = found.went_to.get(piece.id)
        if went:
            orders.setdefault(went.number, Node(f"order {went.number}", went.number, went.customer))
            links.append((f"piece {piece.mark}", f"order {went.number}"))
    columns = (
        Column("Lot", tuple(lots.values())),
        Column("Tub", tuple(tubs.values())),
        Column("Mix", tuple(Node(f"mix {mix.number}", str(mix.number), mix.colour) for mix in chain.mixes)),
        Column("Piece", tuple(Node(f"piece {one.mark}", one.mark, one.article) for one in chain.pieces)),
        Column("Order", tuple(orders.values())),
    )
    says = ", ".join(f"{len(column.nodes)} {column.name.lower()}s" for column in columns)
    return chain_picture(columns, links, f"The chain of {found.kind.lower()} {found.code}: {says}.")


PIECE_HEADINGS = (
    "piece", "article", "colour", "outcome", "mixes", "lots", "order", "customer", "shipped",
    "came back from",
)  # fmt: skip
SOURCE_HEADINGS = (
    "lot", "material", "supplier", "supplier's lot", "received", "tub", "mix", "step", "amount", "unit",
)  # fmt: skip


def piece_rows(chain: Chain) -> Iterator[Sequence[object]]:
    """One step forward: a row for each piece, with what it was made from and where it is."""
    lots: dict[int, list[str]] = {}
    for source in chain.sources:
        lots.setdefault(source.mix, []).append(source.lot)
    ids = [piece.id for piece in chain.pieces]
    went, back = went_to(ids), came_back_from(ids)
    for piece in chain.pieces:
        order = went.get(piece.id)
        made_from = dict.fromkeys(lot for number in piece.mixes for lot in lots.get(number, ()))
        yield (
            piece.mark,
            piece.article,
            piece.colour,
            piece.outcome,
            " ".join(map(str, piece.mixes)),
            " ".join(made_from),
            order.number if order else "",
            order.customer if order else "",
            piece.shipped_at.date().isoformat() if piece.shipped_at else "",
            back.get(piece.id, ""),
        )


def source_rows(chain: Chain, packed: Sequence[PackedIn]) -> Iterator[Sequence[object]]:
    """One step back: a row for each lot and tub that went into a mix, on pieces after casting, or into a
    parcel they left in."""
    for source in (*chain.sources, *packed):
        amount, _, unit = in_words(source.amount, source.unit).partition(" ")
        of_mix, step = (
            ("", f"packing {source.order}")
            if isinstance(source, PackedIn)
            else (source.mix or "", source.into)
        )
        yield (
            source.lot,
            source.material,
            source.supplier,
            source.supplier_lot,
            source.received_on.isoformat(),
            source.tub,
            of_mix,
            step,
            amount.replace(",", ""),
            unit,
        )
