"""The lists of the stores."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables

from inventory.models import Container, Delivery, Entry, Lot, Material, Supplier
from inventory.queries.wording import in_words
from inventory.tables.columns import (
    EMPTY,
    NUM,
    AmountColumn,
    DayColumn,
    LinkColumn,
    MoneyColumn,
    StoresTable,
    WhenColumn,
    plain,
)

UNIT = "material__unit"


class MaterialsTable(StoresTable):
    """Every material in use."""

    name = LinkColumn(verbose_name="Material", route="material", to="pk")
    kind = tables.Column(accessor="get_kind_display", order_by=("kind", "name"), verbose_name="Kind")
    supplier = tables.Column(accessor="supplier__name", verbose_name="Supplier", default=EMPTY)
    tubs_count = tables.Column(verbose_name="Tubs", attrs=NUM)
    held = AmountColumn(verbose_name="Held", unit="unit")
    safety_level = AmountColumn(verbose_name="Keep at least", unit="unit", level=True)
    unit = tables.Column(visible=False, verbose_name="Unit")

    class Meta:
        model = Material
        fields = ("name", "kind", "supplier", "tubs_count", "held", "safety_level", "unit")
        order_by = "name"
        empty_text = "No materials yet. Take in a delivery to begin."


class TubsTable(StoresTable):
    """Every tub in use."""

    code = LinkColumn(verbose_name="Tub", route="tub")
    material = tables.Column(accessor="material__name", verbose_name="Material")
    role = tables.Column(accessor="role_words", order_by="role", verbose_name="Kind")
    opened_at = DayColumn(verbose_name="Opened", default="not yet")
    stands_at = tables.Column(verbose_name="Stands at", default="")
    holds = AmountColumn(verbose_name="Holds")
    capacity = AmountColumn(verbose_name="Full", level=True)
    tare_mg = AmountColumn(verbose_name="Empty weighs")
    lots_count = tables.Column(verbose_name="Lots", attrs=NUM)
    unit = tables.Column(accessor=UNIT, visible=False, verbose_name="Unit")

    class Meta:
        model = Container
        fields = ("code", "material", "role", "opened_at", "stands_at", "holds", "capacity", "tare_mg")
        sequence = (*fields, "lots_count", "unit")
        order_by = "code"
        empty_text = "No tubs yet. Take in a delivery to begin."

    def render_tare_mg(self, value: int) -> str:
        """Always a weight; nothing where no scale is used."""
        return in_words(value, "g") if value else EMPTY

    def value_tare_mg(self, value: int) -> object:
        """In grams."""
        return plain(value) if value else ""


class LotsTable(StoresTable):
    """Every lot, the latest first."""

    priced = ("price_minor",)

    code = LinkColumn(verbose_name="Lot", route="lot")
    material = tables.Column(accessor="material__name", verbose_name="Material")
    supplier = tables.Column(accessor="supplier__name", verbose_name="Supplier", default=EMPTY)
    supplier_lot = tables.Column(verbose_name="Supplier's lot", default=EMPTY)
    received_on = DayColumn(verbose_name="Came in")
    best_before = DayColumn(verbose_name="Best before")
    amount = AmountColumn(verbose_name="Received")
    left = AmountColumn(verbose_name="Left")
    price_minor = MoneyColumn(verbose_name="Price")
    unit = tables.Column(accessor=UNIT, visible=False, verbose_name="Unit")

    class Meta:
        model = Lot
        fields = ("code", "material", "supplier", "supplier_lot", "received_on", "best_before", "amount")
        sequence = (*fields, "left", "price_minor", "unit")
        order_by = "-received_on"
        empty_text = "No lots yet. Each delivery taken in is one."


class LedgerTable(StoresTable):
    """What was moved, one row for each lot and place, the latest first."""

    happened_at = WhenColumn(accessor="posting__happened_at", verbose_name="When")
    kind = tables.Column(
        accessor="posting__get_kind_display",
        order_by=("posting__kind", "-pk"),
        verbose_name="What",
        attrs={"td": {"class": "key"}},
    )
    reason = tables.Column(accessor="posting__reason", verbose_name="Why", default="")
    material = tables.Column(accessor="lot__material__name", verbose_name="Material")
    lot = LinkColumn(accessor="lot__code", verbose_name="Lot", route="lot", attrs={})
    source = tables.Column(verbose_name="From", order_by=("source__container__code", "source__kind"))
    destination = tables.Column(
        verbose_name="To", order_by=("destination__container__code", "destination__kind")
    )
    amount = AmountColumn(verbose_name="How much", unit="lot__material__unit")
    by = tables.Column(accessor="posting__by__username", verbose_name="Who", default=EMPTY)
    unit = tables.Column(accessor="lot__material__unit", visible=False, verbose_name="Unit")
    posting = tables.Column(accessor="posting_id", visible=False, verbose_name="Posting")
    reverses = tables.Column(
        accessor="posting__reverses_id", visible=False, verbose_name="Reverses", default=""
    )

    class Meta:
        model = Entry
        fields = ("happened_at", "kind", "reason", "material", "lot", "source", "destination", "amount", "by")
        sequence = (*fields, "unit", "posting", "reverses")
        order_by = "-happened_at"
        empty_text = "Nothing was moved in this time."

    def render_source(self, value: Any) -> str:
        """The tub's code, or the name of the outside place."""
        return place_words(value)

    def render_destination(self, value: Any) -> str:
        """The tub's code, or the name of the outside place."""
        return place_words(value)


class DeliveriesTable(StoresTable):
    """What was ordered, the soonest expected last."""

    priced = ("price_minor",)

    material = LinkColumn(
        accessor="material__name", verbose_name="Material", route="material", to="material_id"
    )
    supplier = tables.Column(accessor="from_supplier", verbose_name="Supplier", default=EMPTY)
    amount = AmountColumn(verbose_name="Ordered")
    ordered_on = DayColumn(verbose_name="Ordered on")
    expected_on = DayColumn(verbose_name="Expected")
    stands = tables.Column(verbose_name="Stands")
    lot = LinkColumn(accessor="received_lot__code", verbose_name="Lot", route="lot", attrs={}, default=EMPTY)
    price_minor = MoneyColumn(verbose_name="Price")
    unit = tables.Column(accessor=UNIT, visible=False, verbose_name="Unit")

    class Meta:
        model = Delivery
        fields = ("material", "supplier", "amount", "ordered_on", "expected_on", "stands", "lot")
        sequence = (*fields, "price_minor", "unit")
        order_by = "-expected_on"
        empty_text = "Nothing was ordered yet. Note an order placed to see it here until it is in."


class SuppliersTable(StoresTable):
    """Who delivers."""

    priced = ("carriage_minor",)

    name = LinkColumn(verbose_name="Supplier", route="supplier", to="pk")
    lead_working_days = tables.Column(verbose_name="Takes, working days", attrs=NUM)
    materials_count = tables.Column(verbose_name="Materials", attrs=NUM)
    open_count = tables.Column(verbose_name="Ordered, not in yet", attrs=NUM)
    late_count = tables.Column(verbose_name="Of these late", attrs=NUM)
    carriage_minor = MoneyColumn(verbose_name="Carriage")

    class Meta:
        model = Supplier
        fields = ("name", "lead_working_days")
        sequence = (*fields, "materials_count", "open_count", "late_count", "carriage_minor")
        order_by = "name"
        empty_text = "No suppliers yet. Add one with the first delivery."


def place_words(place: Any) -> str:
    """What a place is called. Read its container along."""
    container = getattr(place, "container", None)
    return container.code if container else str(place)
