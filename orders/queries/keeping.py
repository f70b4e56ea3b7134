"""Who a piece is kept for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from orders.models import Assignment


def kept_for(piece_ids: Iterable[int]) -> Mapping[int, str]:
    """Order number each piece is kept for; free pieces are left out. One query."""
    rows = Assignment.objects.filter(piece_id__in=list(piece_ids)).values_list("piece_id", "line__order__number")
    return dict(rows)
