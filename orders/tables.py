"""Tables of the orders."""

from __future__ import annotations

import django_tables2 as tables

DAYS = {
    "td": {"class": "num"},
    "th": {"class": "num"},
    "words": {"up": "earliest first", "down": "latest first"},
}


class ClosedOrdersTable(tables.Table):
    """Orders that were shipped in full or called off, latest first."""

    number = tables.Column(
        "Order", linkify=("orders:order", [tables.A("number")]), attrs={"td": {"class": "key"}}
    )
    who = tables.Column("Customer")
    ship_by = tables.DateColumn(format="D j M Y", verbose_name="Ship by", attrs=DAYS)
    closed_at = tables.DateTimeColumn(format="D j M, H:i", verbose_name="Closed", attrs=DAYS)
    called_off = tables.Column("How", orderable=False)

    class Meta:
        empty_text = "No order was closed yet."

    def render_called_off(self, value: bool) -> str:
        """How the order was closed."""
        return "called off" if value else "shipped"
