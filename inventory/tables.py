"""The tables of the stores."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import Container, Lot
from inventory.queries.wording import full_day, in_words, level_in_words

NUM = {"td": {"class": "num"}, "th": {"class": "num"}}
EMPTY = "–"


class TubsTable(tables.Table):
    """Every tub in use."""

    code = tables.Column(verbose_name="Tub", attrs={"td": {"class": "key"}})
    material = tables.Column(accessor="material__name", verbose_name="Material")
    role = tables.Column(accessor="role_words", order_by="role", verbose_name="Kind")
    holds = tables.Column(verbose_name="Holds", attrs=NUM)
    capacity = tables.Column(verbose_name="Full", attrs=NUM)
    tare_mg = tables.Column(verbose_name="Empty weighs", attrs=NUM)
    lots_count = tables.Column(verbose_name="Lots", attrs=NUM)
    opened_at = tables.Column(
        verbose_name="Opened",
        default="not yet",
        attrs={"words": {"up": "earliest first", "down": "latest first"}},
    )
    stands_at = tables.Column(verbose_name="Stands at", default="")

    class Meta:
        model = Container
        fields = ("code", "material", "role", "opened_at", "stands_at", "holds", "capacity", "tare_mg")
        sequence = (*fields, "lots_count")
        order_by = "code"
        empty_text = "No tubs yet. Take in a delivery to begin."

    def render_code(self, value: str) -> str:
        """The code, leading to the tub."""
        return format_html('<a href="{}">{}</a>', reverse("inventory:tub", args=[value]), value)

    def render_holds(self, value: int, record: Any) -> str:
        """With its unit."""
        return in_words(value, record.material.unit)

    def render_capacity(self, value: int, record: Any) -> str:
        """With its unit."""
        return level_in_words(value, record.material.unit)

    def render_tare_mg(self, value: int) -> str:
        """With its unit; nothing where no scale is used."""
        return in_words(value, "g") if value else EMPTY

    def render_opened_at(self, value: Any) -> str:
        """The day, and when to sieve is on the tub's own page."""
        return full_day(value)


class LotsTable(tables.Table):
    """Every lot, the latest first."""

    code = tables.Column(verbose_name="Lot", attrs={"td": {"class": "key"}})
    material = tables.Column(accessor="material__name", verbose_name="Material")
    supplier = tables.Column(accessor="supplier__name", verbose_name="Supplier", default=EMPTY)
    supplier_lot = tables.Column(verbose_name="Supplier's lot", default=EMPTY)
    received_on = tables.Column(
        verbose_name="Came in", attrs={"words": {"up": "earliest first", "down": "latest first"}}
    )
    best_before = tables.Column(
        verbose_name="Best before",
        default=EMPTY,
        attrs={"words": {"up": "earliest first", "down": "latest first"}},
    )
    amount = tables.Column(verbose_name="Received", attrs=NUM)
    left = tables.Column(verbose_name="Left", attrs=NUM)

    class Meta:
        model = Lot
        fields = ("code", "material", "supplier", "supplier_lot", "received_on", "best_before", "amount")
        sequence = (*fields, "left")
        order_by = "-received_on"
        prefix = "lots-"
        empty_text = "No lots yet. Each delivery taken in is one."

    def render_code(self, value: str) -> str:
        """The code, leading to the lot."""
        return format_html('<a href="{}">{}</a>', reverse("inventory:lot", args=[value]), value)

    def render_received_on(self, value: Any) -> str:
        """The day."""
        return full_day(value)

    def render_best_before(self, value: Any) -> str:
        """The day."""
        return full_day(value)

    def render_amount(self, value: int, record: Any) -> str:
        """With its unit."""
        return in_words(value, record.material.unit)

    def render_left(self, value: int, record: Any) -> str:
        """With its unit."""
        return in_words(value, record.material.unit)
