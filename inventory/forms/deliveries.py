"""What is ordered from suppliers and what comes in."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from inventory.arithmetic.scanned import read_label
from inventory.fields import OPTIONAL, AmountField, MoneyField
from inventory.forms.tubs import TubChoiceField, delivered_unit
from inventory.models import Container, Delivery, Material, Supplier
from inventory.queries.containers import tubs_in_use
from inventory.queries.deliveries import open_deliveries
from inventory.queries.wording import in_words, week_day

LOT_SIGNS_MOST = 60


class DeliveryChoiceField(forms.ModelChoiceField):
    """An order not in yet."""

    def label_from_instance(self, obj: Delivery) -> str:
        """ "20.00 kg, expected Fri 9 Oct"."""
        return f"{in_words(obj.amount, obj.material.unit)}, expected {week_day(obj.expected_on)}"


def day_field(**options: Any) -> forms.DateField:
    """A day, chosen or typed."""
    return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **options)


class ReceiveForm(forms.Form):
    """A delivery of one material; without a `currency` ("") it shows no price and asks for none."""

    amount = AmountField(label="How much came in")
    container = TubChoiceField(
        queryset=Container.objects.none(), required=False, label="Into", empty_label="a new tub"
    )
    received_on = day_field(label="Came in on")
    supplier = forms.ModelChoiceField(
        queryset=Supplier.objects.all(), required=False, empty_label="not noted", help_text=OPTIONAL
    )
    supplier_lot = forms.CharField(
        # A whole label may come out of the scanner: the lot number in it is at most twenty signs.
        max_length=120,
        required=False,
        label="Supplier's lot number",
        help_text="typed, or scanned off the label with its best before",
        widget=forms.TextInput(attrs={"autocomplete": "off", "data-enter-goes-on": ""}),
    )
    best_before = day_field(required=False, label="Best before", help_text=OPTIONAL)
    price = MoneyField(required=False, label="Price of all of it", help_text=OPTIONAL)
    delivery = DeliveryChoiceField(
        queryset=Delivery.objects.none(), required=False, label="Of the order", empty_label="none"
    )
    rest_expected_on = day_field(
        required=False,
        label="Rest expected on",
        help_text="if less came than was ordered; blank calls the rest off",
    )
    is_another = forms.BooleanField(required=False, label="It is another delivery")
    although_past = forms.BooleanField(required=False, label="Take it in although it is past its date")

    def __init__(self, *args: Any, material: Material, currency: str, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today
        self.fields["amount"].in_units(material.unit, delivered_unit(material))
        self.fields["container"].queryset = tubs_in_use().filter(material=material)
        orders = open_deliveries().filter(material=material)
        self.fields["delivery"].queryset = orders
        if not orders:
            del self.fields["delivery"], self.fields["rest_expected_on"]
        if currency:
            self.fields["price"].in_currency(currency)
        else:
            del self.fields["price"]

    def clean(self) -> dict[str, Any]:
        """What a scanner typed into the lot number is taken apart: the lot, and the best before it names."""
        typed = super().clean() or {}
        label = read_label(typed.get("supplier_lot", ""), this_year=self.today.year)
        if len(label.lot) > LOT_SIGNS_MOST:
            self.add_error(
                "supplier_lot", f"It has {len(label.lot)} letters. Shorten it to {LOT_SIGNS_MOST}."
            )
        typed["supplier_lot"] = label.lot
        if label.best_before and not typed.get("best_before"):
            typed["best_before"] = label.best_before
        return typed

    def clean_received_on(self) -> date:
        """A delivery cannot have come in tomorrow."""
        day = self.cleaned_data["received_on"]
        if day > self.today:
            raise forms.ValidationError(
                f"{week_day(day, self.today)} has not come yet. Type a day up to today."
            )
        return day

    def content(self) -> dict[str, Any]:
        """The keywords of `receive_lot`, without the material and a new tub."""
        typed = self.cleaned_data
        container, supplier, delivery = typed["container"], typed["supplier"], typed.get("delivery")
        return {
            "amount": typed["amount"],
            "received_on": typed["received_on"],
            "container_id": container.pk if container else None,
            "supplier_id": supplier.pk if supplier else None,
            "supplier_lot": typed["supplier_lot"],
            "best_before": typed["best_before"],
            # Whoever sees no price types none: then it is the one of the order.
            "price_minor": (typed["price"] or 0) if "price" in self.fields else None,
            "delivery_id": delivery.pk if delivery else None,
            "rest_expected_on": typed.get("rest_expected_on"),
            "is_another": typed["is_another"],
            "although_past": typed["although_past"],
        }


class LotPriceForm(forms.Form):
    """What a lot cost."""

    price = MoneyField(required=False, label="Price of all of it", help_text="blank where it is not known")

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["price"].in_currency(currency)


class ExpectForm(forms.Form):
    """An order placed with a supplier."""

    amount = AmountField(label="How much was ordered")
    ordered_on = day_field(label="Ordered on")
    expected_on = day_field(label="Expected on")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"].in_units(
            material.unit, {"g": "kg", "ml": "l"}.get(material.unit, material.unit)
        )
