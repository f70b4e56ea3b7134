"""What is ordered from a supplier, pack by pack, and the packs themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from inventory.arithmetic.quantities import format_money, parse_amount
from inventory.errors import StudioError
from inventory.fields import CHOOSE_ONE, OPTIONAL, AmountField, MoneyField
from inventory.forms.deliveries import day_field
from inventory.forms.tubs import delivered_unit
from inventory.models import Material, SupplierPack
from inventory.queries.suppliers import SoldMaterial
from inventory.queries.wording import level_in_words

PACKS_MOST = 999


class PlaceOrderForm(forms.Form):
    """How many of which pack; an amount where no pack is noted. `lines` are its fields by material."""

    ordered_on = day_field(label="Ordered on")
    expected_on = day_field(label="Expected on")
    reference = forms.CharField(
        max_length=40, required=False, label="Their number of the order", help_text=OPTIONAL
    )

    def __init__(
        self,
        *args: Any,
        sold: Sequence[SoldMaterial],
        currency: str,
        suggested: Mapping[tuple[int, int], int] | None = None,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.sold = sold
        self.names: list[tuple[Material, list[str]]] = []
        for one in sold:
            names = [self._add_pack(one, pack, currency, suggested or {}) for pack in one.packs]
            self.names.append((one.material, names or [self._add_amount(one.material)]))

    @property
    def lines(self) -> list[tuple[Material, list[forms.BoundField]]]:
        """The fields of each material."""
        return [(material, [self[name] for name in names]) for material, names in self.names]

    def content(self) -> dict[str, Any]:
        """The keywords of `place_order`, without the supplier."""
        typed = self.cleaned_data
        lines = []
        for one in self.sold:
            counts = [(pack, typed.get(f"pack_{pack.pk}") or 0) for pack in one.packs]
            amount = sum(pack.amount * count for pack, count in counts)
            price_minor = sum(pack.price_minor * count for pack, count in counts)
            amount += typed.get(f"amount_{one.material.pk}") or 0
            if amount:
                lines.append((one.material.pk, amount, price_minor))
        return {
            "lines": lines,
            "ordered_on": typed["ordered_on"],
            "expected_on": typed["expected_on"],
            "reference": typed["reference"],
        }

    def _add_pack(
        self,
        one: SoldMaterial,
        pack: SupplierPack,
        currency: str,
        suggested: Mapping[tuple[int, int], int],
    ) -> str:
        name = f"pack_{pack.pk}"
        price = f", {format_money(pack.price_minor, currency)}" if currency and pack.price_minor else ""
        self.fields[name] = forms.IntegerField(
            required=False,
            min_value=0,
            max_value=PACKS_MOST,
            label=f"Packs of {level_in_words(pack.amount, one.material.unit)}{price}",
            initial=suggested.get((one.material.pk, pack.amount)),
            widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        )
        return name

    def _add_amount(self, material: Material) -> str:
        name = f"amount_{material.pk}"
        field = AmountField(required=False, label="How much")
        field.in_units(material.unit, delivered_unit(material))
        self.fields[name] = field
        return name


class PackForm(forms.Form):
    """A size that a supplier sells."""

    material = forms.ModelChoiceField(
        queryset=Material.objects.filter(retired_on__isnull=True), empty_label=CHOOSE_ONE
    )
    size = forms.CharField(
        max_length=40, label="One pack holds", help_text='with its unit: "20 kg", "12 pcs"'
    )
    price = MoneyField(required=False, label="Price of one pack", help_text=OPTIONAL)

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["price"].in_currency(currency)

    def clean(self) -> dict[str, Any]:
        """Read the size in the unit of the material beside it."""
        typed = super().clean() or {}
        material, size = typed.get("material"), typed.get("size")
        if material and size:
            try:
                typed["amount"] = parse_amount(size, material.unit)
            except StudioError as fault:
                self.add_error("size", fault.message)
            else:
                if not typed["amount"]:
                    self.add_error("size", "A pack holds something. Type how much.")
        return typed

    def content(self) -> dict[str, Any]:
        """The keywords of `keep_pack`, without the supplier."""
        typed = self.cleaned_data
        return {
            "material_id": typed["material"].pk,
            "amount": typed["amount"],
            "price_minor": typed["price"] or 0,
        }


class PutOffForm(forms.Form):
    """Another day for what was ordered."""

    expected_on = day_field(label="Expected on")
