"""What packing the open orders will take out of the stores."""

from __future__ import annotations

from collections import Counter
from datetime import date

from django.db.models import Count, Q

from orders.models import OrderLine

Draws = dict[int, list[tuple[date, int]]]


def open_lines() -> list[tuple[OrderLine, int]]:
    """Lines of open orders and market days with the pieces still to leave, earliest ship-by first. One query.

    Lines of which everything has left are left out.
    """
    shipped = Count("assignments", filter=Q(assignments__piece__shipped_at__isnull=False))
    lines = (
        OrderLine.objects.filter(order__closed_at__isnull=True)
        .select_related("order", "article")
        .annotate(shipped=shipped)
        .order_by("order__ship_by", "order_id", "id")
    )
    found = [(line, line.quantity - line.shipped) for line in lines]
    return [(line, left) for line, left in found if left > 0]


def packaging_draws(today: date) -> Draws:
    """Packaging that open orders take when they leave, by material id: days with amounts (thousandths).

    What should have left counts for today. One query.
    """
    found: dict[int, Counter[date]] = {}
    for line, left in open_lines():
        article = line.article
        if article.packaging_id and article.packaging_each:
            days = found.setdefault(article.packaging_id, Counter())
            days[max(today, line.order.ship_by)] += left * article.packaging_each
    return {material_id: sorted(days.items()) for material_id, days in found.items()}
