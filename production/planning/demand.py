"""What the planner is asked for, without knowing who asks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Demand:
    """So many pieces of one article in one colour, to leave by a day.

    wanted_by: stable key of whoever wants it, such as "line:12" (an order line) or "wish:3" (shelf stock).
    label: what the screens call it: the order number or the market day.
    quantity: pieces wanted in all and not yet shipped, including those already in the making.
    kept_piece_ids: pieces, ready or in the making, that are kept for it.
    weight: how much a late piece of it counts (wish 0 is never late).
    kind: "order", "market" (a day that does not move) or "shelf".
    """

    wanted_by: str
    label: str
    article_id: int
    colour_id: int
    quantity: int
    ship_by: date
    weight: int = 1
    kept_piece_ids: tuple[int, ...] = ()
    kind: str = "order"
