"""Who a piece is kept for, and what is kept for whom."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from orders.models import Assignment, ParcelPiece


@dataclass(frozen=True)
class Kept:
    """A piece kept for a line; `is_boxed` once it is ticked, `shipped_at` once it left."""

    piece_id: int
    mark: str
    line_id: int
    by_hand: bool
    is_boxed: bool
    shipped_at: datetime | None


def is_boxed() -> Exists:
    """Whether the piece of an assignment is ticked into a box; for annotating and filtering."""
    return Exists(ParcelPiece.objects.filter(piece=OuterRef("piece")))


def kept_for(piece_ids: Iterable[int]) -> Mapping[int, str]:
    """Order number each piece is kept for; free pieces are left out. One query."""
    rows = Assignment.objects.filter(piece_id__in=list(piece_ids))
    return dict(rows.values_list("piece_id", "line__order__number"))


def kept_by_line(line_ids: Iterable[int]) -> dict[int, list[Kept]]:
    """The pieces kept for each line, shipped ones too, in the order they were kept. One query."""
    rows = (
        Assignment.objects.filter(line__in=list(line_ids))
        .annotate(boxed=is_boxed())
        .order_by("id")
        .values_list("piece_id", "piece__mark", "line", "by_hand", "boxed", "piece__shipped_at")
    )
    found: dict[int, list[Kept]] = defaultdict(list)
    for piece_id, mark, line_id, by_hand, boxed, shipped_at in rows:
        found[line_id].append(Kept(piece_id, mark, line_id, by_hand, boxed, shipped_at))
    return found
