"""Keeping pieces for order lines."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from datetime import datetime
from typing import TypeVar

from django.db.models import Model, QuerySet

from inventory.operations.acts import Done, Tap, act
from orders.arithmetic.sharing import FreePiece, LackingLine, share_out
from orders.arithmetic.wanted_by import line_key
from orders.errors import NoSuchOrder, OrderClosed, PieceNotFree
from orders.models import Assignment, OrderLine, ParcelPiece
from orders.queries.keeping import is_boxed
from production.queries.good_pieces import GoodPiece, good_pieces_here

Row = TypeVar("Row", bound=Model)
Sorts = Collection[tuple[int, int]]
"""(article id, colour id) each: a piece goes to a line of its own sort only, so others need not be read."""


def offer_pieces(*, now: datetime, sorts: Sorts | None = None) -> None:
    """Keep free pieces for the order lines that lack them. Part of the act that calls it.

    `sorts` names what the act concerns; without it everything is looked at.

    Everything that was not chosen by hand, is in no box and has not left is shared out anew: first to the
    line it was poured for, then ready ones first to the earliest ship-by. Pieces that are no longer good
    enough for their line, or kept for a closed order, are let go, out of an open box too.

    Changes: orders_assignment, orders_parcelpiece.
    """
    lines = lock_open_lines(sorts)
    good = {piece.id: piece for piece in good_pieces_here(with_seconds=True, sorts=sorts)}
    here = list(
        _of(Assignment.objects.filter(piece__shipped_at__isnull=True), sorts, "piece__")
        .annotate(boxed=is_boxed())
        .values_list("piece", "line", "by_hand", "boxed")
    )
    open_lines = {line.pk: line for line in lines}
    lost = [
        row
        for row in here
        if row[0] not in good
        or row[1] not in open_lines
        or (good[row[0]].is_second and not open_lines[row[1]].seconds_do)
    ]
    lost_ids = {piece_id for piece_id, *_ in lost}
    let_go(lost_ids)
    standing = [row for row in here if row[0] not in lost_ids]
    fixed = {piece: line for piece, line, by_hand, boxed in standing if by_hand or boxed}
    movable = {piece: line for piece, line, by_hand, boxed in standing if not (by_hand or boxed)}
    shared = share_out(_lacking(lines, Counter(fixed.values()), sorts), _free(good, fixed))
    moved = [piece for piece, line in movable.items() if shared.get(piece) != line]
    Assignment.objects.filter(piece__in=moved, piece__shipped_at__isnull=True).delete()
    Assignment.objects.bulk_create(
        (
            Assignment(piece_id=piece, line_id=line)
            for piece, line in sorted(shared.items(), key=lambda pair: (pair[1], pair[0]))
            if movable.get(piece) != line
        ),
        # An order that is being kept at this moment on another screen may have taken the same piece.
        ignore_conflicts=True,
    )


@act("orders.assign_piece")
def assign_piece(tap: Tap, *, mark: str, line_id: int) -> Done:
    """Keep a good piece for a line by hand, whoever it was kept for; it is not moved again by itself.

    When the line has all its pieces, the last one that was not chosen by hand makes room for it.

    Changes: orders_assignment.
    Raises: NoSuchOrder; OrderClosed; PieceNotFree when it is not here, not good, of another article or
    colour, in a box, or when every piece of the line is in the box or was chosen by hand.
    """
    sorts = list(OrderLine.objects.filter(pk=line_id).values_list("article", "colour"))
    line = _open_line({line.pk: line for line in lock_open_lines(sorts)}, line_id)
    piece = next((one for one in good_pieces_here(with_seconds=True) if one.mark == mark), None)
    if piece and piece.is_second and not line.seconds_do:
        raise PieceNotFree(
            f"{mark} is a second, and this line takes none. Choose a good piece, or change the order so that"
            " seconds will do.",
            mark=mark,
            field="mark",
        )
    if piece is None:
        raise PieceNotFree(f"No good piece {mark} is here. Look at the mark again.", mark=mark, field="mark")
    if (piece.article_id, piece.colour_id) != (line.article_id, line.colour_id):
        raise PieceNotFree(
            f"{mark} is not {line.article} in {line.colour}. Choose another piece.", mark=mark, field="mark"
        )
    before = Assignment.objects.filter(piece=piece.id).select_related("line__order").first()
    if before and before.line_id == line.pk and before.by_hand:
        raise PieceNotFree(f"{mark} is kept for {line.order.number} already.", mark=mark, field="mark")
    if ParcelPiece.objects.filter(piece=piece.id).exists() and before:
        raise PieceNotFree(
            f"{mark} is in the box of {before.line.order.number}. Take it out first.",
            mark=mark,
            field="mark",
        )
    room_for = _make_room(line, piece)
    before_line, by_hand_before = (before.line_id, before.by_hand) if before else (None, False)
    Assignment.objects.update_or_create(piece_id=piece.id, defaults={"line": line, "by_hand": True})
    offer_pieces(now=tap.now, sorts=sorts)
    said = f"{mark} is kept for {line.order.number}."
    if before and before.line_id != line.pk:
        said += f" {before.line.order.number} gets another when one is free."
    facts = {
        "piece_id": piece.id,
        "line_id": line.pk,
        "mark": mark,
        "line_before": before_line,
        "by_hand_before": by_hand_before,
        "let_go": room_for,
    }
    return Done(said, facts)


def lock_open_lines(sorts: Sorts | None = None) -> list[OrderLine]:
    """Lines of open orders, locked in one order, so that one act at a time shares pieces of a sort out.

    Those of `sorts` at least; of all without it.
    """
    lines = OrderLine.objects.select_for_update(no_key=True, of=("self",)).filter(
        order__closed_at__isnull=True
    )
    return list(_of(lines, sorts).select_related("order").order_by("pk"))


def sorts_of(order_ids: Iterable[int]) -> list[tuple[int, int]]:
    """What these orders have lines of. One query."""
    lines = OrderLine.objects.filter(order__in=list(order_ids))
    return list(lines.values_list("article", "colour").order_by().distinct())


def let_go(piece_ids: Iterable[int]) -> None:
    """Keep these pieces for nobody; they come out of an open box. Pieces that have left stay as they are."""
    ids = list(piece_ids)
    ParcelPiece.objects.filter(piece__in=ids, parcel__shipped_at__isnull=True).delete()
    Assignment.objects.filter(piece__in=ids, piece__shipped_at__isnull=True).delete()


def _lacking(lines: list[OrderLine], fixed: Counter[int], sorts: Sorts | None) -> list[LackingLine]:
    left = Assignment.objects.filter(line__order__closed_at__isnull=True, piece__shipped_at__isnull=False)
    shipped = Counter(_of(left, sorts, "line__").values_list("line", flat=True))
    return [
        LackingLine(
            id=line.pk,
            key=line_key(line.pk),
            article_id=line.article_id,
            colour_id=line.colour_id,
            lacks=max(0, line.quantity - shipped[line.pk] - fixed[line.pk]),
            ship_by=line.order.ship_by,
            seconds_do=line.seconds_do,
        )
        for line in lines
    ]


def _free(good: dict[int, GoodPiece], fixed: dict[int, int]) -> list[FreePiece]:
    return [
        FreePiece(
            id=piece.id,
            article_id=piece.article_id,
            colour_id=piece.colour_id,
            wanted_by=piece.wanted_by,
            ready_at=piece.ready_at,
            steps_done=piece.steps_done,
            out_at=piece.out_at,
            is_second=piece.is_second,
        )
        for piece in good.values()
        if piece.id not in fixed
    ]


def _of(rows: QuerySet[Row], sorts: Sorts | None, prefix: str = "") -> QuerySet[Row]:
    """Those of these sorts, and of the same articles and colours; `prefix` leads to the article."""
    if sorts is None:
        return rows
    articles, colours = {article for article, _ in sorts}, {colour for _, colour in sorts}
    return rows.filter(**{f"{prefix}article__in": articles, f"{prefix}colour__in": colours})


def _open_line(lines: dict[int, OrderLine], line_id: int) -> OrderLine:
    if line_id in lines:
        return lines[line_id]
    closed = OrderLine.objects.select_related("order").filter(pk=line_id).first()
    if closed is None:
        raise NoSuchOrder("There is no such line. Open the order again.", line_id=line_id)
    raise OrderClosed(f"{closed.order.number} is closed. Nothing was changed.", number=closed.order.number)


def _make_room(line: OrderLine, piece: GoodPiece) -> int | None:
    """Let the last movable piece of a full line go; answers its id, None where there was room."""
    others = Assignment.objects.filter(line=line).exclude(piece=piece.id)
    if others.count() < line.quantity:
        return None
    movable = (
        others.filter(~is_boxed(), by_hand=False, piece__shipped_at__isnull=True).order_by("-id").first()
    )
    if movable is None:
        raise PieceNotFree(
            f"{line.order.number} has all {line.quantity} of them chosen or in the box. Take one out first.",
            mark=piece.mark,
            field="mark",
        )
    room_for = movable.piece_id
    movable.delete()
    return room_for
