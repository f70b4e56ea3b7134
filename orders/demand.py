"""What the planner is asked for: order lines, market days and shelf wishes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from orders.arithmetic.wanted_by import line_key, wish_key
from orders.models import Assignment, ShelfWish
from orders.queries.keeping import kept_by_line
from orders.queries.needs import open_lines
from production.planning.demand import Demand
from production.queries.good_pieces import GoodPiece, good_pieces_here

WISH_DAYS = 21
# A market day does not move: what is late for it is not sold, so the planner counts its lateness double.
MARKET_WEIGHT = 2
TYPED = "typed:"


def open_demand(today: date) -> list[Demand]:
    """Everything that is wanted and has not left: orders by ship-by day, then shelf wishes.

    A wish is due in three weeks and never late. Good pieces that nobody else has count as kept for it, up to
    its level. Five queries.
    """
    lines = open_lines()
    kept = kept_by_line(line.pk for line, _ in lines)
    ordered = [
        Demand(
            wanted_by=line_key(line.pk),
            label=line.order.number,
            article_id=line.article_id,
            colour_id=line.colour_id,
            quantity=left,
            ship_by=line.order.ship_by,
            weight=line.order.weight * (MARKET_WEIGHT if line.order.kind == "market" else 1),
            kind=line.order.kind,
            kept_piece_ids=tuple(one.piece_id for one in kept.get(line.pk, ()) if one.shipped_at is None),
        )
        for line, left in lines
    ]
    return ordered + _wished(today)


def demand_with_typed(
    rows: Sequence[tuple[int, int, int]], *, ship_by: date, is_market: bool, instead_of: str, today: date
) -> list[Demand]:
    """Everything that is wanted, with the rows (article, colour, pieces) of an order that is being typed.

    Good pieces that nobody else has would be kept for it, those of shelf wishes too. `instead_of` is the
    number of the order that is changed, "" for a new one. The typed rows come first: "typed:1", "typed:2".
    Seven queries.
    """
    free = _free_pieces()
    typed = []
    for number, (article_id, colour_id, quantity) in enumerate(rows, start=1):
        kept = [one for one in free if (one.article_id, one.colour_id) == (article_id, colour_id)][:quantity]
        free = [one for one in free if one not in kept]
        typed.append(
            Demand(
                wanted_by=f"{TYPED}{number}",
                label="this order",
                article_id=article_id,
                colour_id=colour_id,
                quantity=quantity,
                ship_by=ship_by,
                weight=MARKET_WEIGHT if is_market else 1,
                kind="market" if is_market else "order",
                kept_piece_ids=tuple(one.id for one in kept),
            )
        )
    own = {piece for demand in typed for piece in demand.kept_piece_ids}
    others = [
        replace(one, kept_piece_ids=tuple(piece for piece in one.kept_piece_ids if piece not in own))
        for one in open_demand(today)
        if not (instead_of and one.label == instead_of)
    ]
    return typed + others


def _free_pieces() -> list[GoodPiece]:
    taken = set(Assignment.objects.filter(piece__shipped_at__isnull=True).values_list("piece", flat=True))
    return [piece for piece in good_pieces_here() if piece.id not in taken]


def _wished(today: date) -> list[Demand]:
    # What is not made any more is no longer made for the shelf; what was ordered still is.
    wishes = list(
        ShelfWish.objects.select_related("article", "colour").filter(
            level__gt=0, article__retired_on__isnull=True
        )
    )
    free = _free_pieces() if wishes else []
    return [
        Demand(
            wanted_by=wish_key(wish.pk),
            label="shelf stock",
            article_id=wish.article_id,
            colour_id=wish.colour_id,
            quantity=wish.level,
            ship_by=today + timedelta(days=WISH_DAYS),
            weight=0,
            kind="shelf",
            kept_piece_ids=tuple(
                piece.id
                for piece in free
                if (piece.article_id, piece.colour_id) == (wish.article_id, wish.colour_id)
            )[: wish.level],
        )
        for wish in wishes
    ]
