"""What packing the open orders will take out of the stores."""

from __future__ import annotations

from collections import Counter
from datetime import date

from django.db.models import Count, Q, QuerySet

from orders.models import OrderLine

Draws = dict[int, list[tuple[date, int]]]


def open_lines() -> QuerySet[OrderLine]:
    """Lines of open orders and market days, earliest ship-by first; `shipped` counts what has left."""
    return (
        OrderLine.objects.filter(order__closed_at__isnull=True)
        .select_related("order")
        .annotate(shipped=Count("assignments", filter=Q(assignments__piece__shipped_at__isnull=False)))
        .order_by("order__ship_by", "order_id", "id")
    )


def packaging_draws(today: date) -> Draws:
    """Packaging that open orders take when they leave, by material id: days with amounts (thousandths).

    What should have left counts for today. One query.
    """
    found: dict[int, Counter[date]] = {}
    for line in open_lines().select_related("order", "article"):
        left = line.quantity - line.shipped
        article = line.article
        if left > 0 and article.packaging_id and article.packaging_each:
            days = found.setdefault(article.packaging_id, Counter())
            days[max(today, line.order.ship_by)] += left * article.packaging_each
    return {material_id: sorted(days.items()) for material_id, days in found.items()}
