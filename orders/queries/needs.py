"""Which lines of orders are still wanted, and what packing them will take out of the stores."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date

from django.db.models import Count, F, Q

from orders.arithmetic.wanted_by import line_of_key
from orders.models import Order, OrderLine, ShelfWish

Draws = dict[int, list[tuple[date, int]]]
SHIPPED = Count("assignments", filter=Q(assignments__piece__shipped_at__isnull=False))


def open_lines() -> list[tuple[OrderLine, int]]:
    """Lines of open orders and market days with the pieces still to leave, earliest ship-by first. One query.

    Lines of which everything has left are left out.
    """
    lines = (
        OrderLine.objects.filter(order__closed_at__isnull=True)
        .select_related("order", "article")
        .annotate(shipped=SHIPPED)
        .order_by("order__ship_by", "order_id", "id")
    )
    found = [(line, line.quantity - line.shipped) for line in lines]
    return [(line, left) for line, left in found if left > 0]


def has_left(wanted_by: Iterable[str]) -> set[str]:
    """Those of these demands that nobody waits for any more: shipped in full, or called off. One query.

    Shelf wishes never leave, and what is not known here is left to whoever asks.
    """
    key_of = {line_id: key for key in wanted_by if (line_id := line_of_key(key)) is not None}
    lines = (
        OrderLine.objects.filter(pk__in=key_of)
        .annotate(shipped=SHIPPED)
        .filter(Q(order__closed_at__isnull=False) | Q(shipped__gte=F("quantity")))
    )
    return {key_of[line_id] for line_id in lines.values_list("pk", flat=True)}


def wanted_by(article_id: int) -> list[str]:
    """Where an article is still to go, with how many pieces: orders and market days, then the shelf.

    "order 1041: 2", "Invented Quay market: 6", "shelf stock: 4". Two queries.
    """
    found: Counter[str] = Counter()
    for line, left in open_lines():
        if line.article_id == article_id:
            is_market = line.order.kind == Order.Kind.MARKET
            found[line.order.number if is_market else f"order {line.order.number}"] += left
    wished = ShelfWish.objects.filter(article=article_id, level__gt=0).values_list("level", flat=True)
    found["shelf stock"] += sum(wished)
    return [f"{where}: {count}" for where, count in found.items() if count]


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
