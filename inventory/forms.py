"""What is typed in the stores. A form turns text into the keyword arguments of one operation."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from inventory.arithmetic.quantities import parse_amount
from inventory.errors import StudioError
from inventory.fields import CHOOSE_ONE, AmountField, MoneyField, NameOnce, SaysChoose, scale_unit
from inventory.models import Container, Delivery, Material, Supplier
from inventory.operations.counting import REASONS
from inventory.operations.spilling import WENT_TO
from inventory.queries.containers import TubPage, tubs_in_use
from inventory.queries.deliveries import open_deliveries
from inventory.queries.wording import in_words, level_in_words, week_day

OPTIONAL = "if you have it"


class TubChoiceField(forms.ModelChoiceField):
    """A tub, named by code and material."""

    def label_from_instance(self, obj: Container) -> str:
        """ "Q2, working tub, Quick compound"."""
        return f"{obj.code}, {obj.role_words}, {obj.material.name}"


class ChooseDecantForm(forms.Form):
    """Which tub into which."""

    source = TubChoiceField(
        queryset=Container.objects.none(), to_field_name="code", label="Out of", empty_label=CHOOSE_ONE
    )
    target = TubChoiceField(
        queryset=Container.objects.none(), to_field_name="code", label="Into", empty_label=CHOOSE_ONE
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["source"].queryset = tubs_in_use()
        self.fields["target"].queryset = tubs_in_use().filter(role=Container.Role.WORKING)


class ChooseTubForm(forms.Form):
    """Which tub."""

    tub = TubChoiceField(
        queryset=Container.objects.none(), to_field_name="code", label="Tub", empty_label=CHOOSE_ONE
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["tub"].queryset = tubs_in_use()


class ChooseMaterialForm(forms.Form):
    """Which material."""

    material = forms.ModelChoiceField(
        queryset=Material.objects.filter(retired_on__isnull=True), empty_label=CHOOSE_ONE
    )


class DecantForm(forms.Form):
    """Scale readings tub and all, or the weight."""

    before = AmountField(required=False)
    after = AmountField(required=False)
    lumps = AmountField(required=False, label="Lumps sieved out")
    target_after = AmountField(required=False)
    amount = AmountField(required=False, label="Or the weight that went in", help_text=OPTIONAL)

    def __init__(self, *args: Any, source: TubPage, target: TubPage, **options: Any) -> None:
        super().__init__(*args, **options)
        unit = scale_unit(source.unit, max(source.capacity, target.capacity))
        for field in self.fields.values():
            field.in_units(source.unit, unit)
        self.fields["before"].label = f"{source.code} before"
        self.fields["after"].label = f"{source.code} after"
        self.fields["target_after"].label = f"{target.code} after, to check"
        if source.unit != "g":
            # What is not kept by weight has no readings.
            for name in ("before", "after", "target_after"):
                del self.fields[name]
            self.fields["amount"].label = "How much went in"
            self.fields["amount"].help_text = ""

    def content(self) -> dict[str, Any]:
        """The keywords of `decant`."""
        typed = self.cleaned_data
        return {
            "before_mg": typed.get("before"),
            "after_mg": typed.get("after"),
            "target_after_mg": typed.get("target_after"),
            "lumps": typed.get("lumps") or 0,
            "amount": typed.get("amount"),
        }


class CountForm(forms.Form):
    """What the scale shows, and why it differs if it does."""

    reading = AmountField()
    reason = forms.ChoiceField(
        required=False,
        choices=[("", "Choose only if it differs"), *((reason, reason) for reason in REASONS)],
        label="Why it differs",
    )

    def __init__(self, *args: Any, tub: TubPage, **options: Any) -> None:
        super().__init__(*args, **options)
        reading = self.fields["reading"]
        reading.in_units(tub.unit, scale_unit(tub.unit, tub.capacity))
        if tub.unit == "g":
            reading.label = "On the scale, tub and all"
            reading.help_text = f"Empty, {tub.code} weighs {in_words(tub.tare_mg, 'g')}."
        else:
            reading.label = f"What is in {tub.code}"
        self.by_weight = tub.unit == "g"

    def content(self) -> dict[str, Any]:
        """The keywords of `count_container`."""
        reading = self.cleaned_data["reading"]
        return {
            "gross_mg": reading if self.by_weight else None,
            "counted": None if self.by_weight else reading,
            "reason": self.cleaned_data["reason"],
        }


class SpillForm(forms.Form):
    """How much was lost, and how."""

    amount = AmountField(label="How much")
    reason = forms.ChoiceField(choices=[(reason, reason) for reason in WENT_TO], label="Why")

    def __init__(self, *args: Any, tub: TubPage, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"].in_units(tub.unit, scale_unit(tub.unit, tub.capacity))


class DeliveryChoiceField(forms.ModelChoiceField):
    """An order not in yet."""

    def label_from_instance(self, obj: Delivery) -> str:
        """ "20.00 kg, expected Fri 9 Oct"."""
        return f"{in_words(obj.amount, obj.material.unit)}, expected {week_day(obj.expected_on)}"


def _day_field(**options: Any) -> forms.DateField:
    return forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **options)


def delivered_unit(material: Material) -> str:
    """The unit a delivery is typed in: that of its pack; without one, grams for a pigment."""
    if material.pack_size:
        return scale_unit(material.unit, material.pack_size)
    if material.kind == Material.Kind.PIGMENT:
        return material.unit
    return {"g": "kg", "ml": "l"}.get(material.unit, material.unit)


class TubFieldsForm(forms.Form):
    """A new tub."""

    role = forms.ChoiceField(choices=Container.Role.choices, label="Kind of tub")
    code = forms.CharField(max_length=8, required=False, help_text="Blank gives the next free code.")
    tare = AmountField(required=False, label="Empty, it weighs")
    capacity = AmountField(label="Full, it holds")
    stands_at = forms.CharField(max_length=60, required=False, label="Stands at", help_text=OPTIONAL)

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        unit, shown = material.unit, delivered_unit(material)
        self.fields["role"].choices = Container.roles_of(unit)
        if unit == "piece":
            self.fields["role"].label = "Kind of box"
        self.fields["tare"].in_units("g", "kg" if shown == "kg" else "g")
        self.fields["capacity"].in_units(unit, shown)
        if unit == "g":
            self.fields["tare"].required = True
        else:
            self.fields["tare"].help_text = OPTIONAL

    def content(self) -> dict[str, Any]:
        """The keywords of `new_tub`, without the material."""
        typed = self.cleaned_data
        return {
            "role": typed["role"],
            "code": typed["code"],
            "tare_mg": typed["tare"] or 0,
            "capacity": typed["capacity"],
            "stands_at": typed["stands_at"],
        }


class ReceiveForm(forms.Form):
    """A delivery of one material."""

    amount = AmountField(label="How much came in")
    container = TubChoiceField(
        queryset=Container.objects.none(), required=False, label="Into", empty_label="a new tub"
    )
    received_on = _day_field(label="Came in on")
    supplier = forms.ModelChoiceField(
        queryset=Supplier.objects.all(), required=False, empty_label="not noted", help_text=OPTIONAL
    )
    supplier_lot = forms.CharField(
        max_length=60, required=False, label="Supplier's lot number", help_text=OPTIONAL
    )
    best_before = _day_field(required=False, label="Best before", help_text=OPTIONAL)
    price = MoneyField(required=False, label="Price of all of it", help_text=OPTIONAL)
    delivery = DeliveryChoiceField(
        queryset=Delivery.objects.none(), required=False, label="Of the order", empty_label="none"
    )
    rest_expected_on = _day_field(
        required=False, label="Rest expected on", help_text="only if more of this order is to come"
    )

    def __init__(self, *args: Any, material: Material, currency: str, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today
        self.fields["amount"].in_units(material.unit, delivered_unit(material))
        self.fields["price"].in_currency(currency)
        self.fields["container"].queryset = tubs_in_use().filter(material=material)
        orders = open_deliveries().filter(material=material)
        self.fields["delivery"].queryset = orders
        if not orders:
            del self.fields["delivery"], self.fields["rest_expected_on"]

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
            "price_minor": typed["price"] or 0,
            "delivery_id": delivery.pk if delivery else None,
            "rest_expected_on": typed.get("rest_expected_on"),
        }


class ExpectForm(forms.Form):
    """An order placed with a supplier."""

    amount = AmountField(label="How much was ordered")
    ordered_on = _day_field(label="Ordered on")
    expected_on = _day_field(label="Expected on")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["amount"].in_units(
            material.unit, {"g": "kg", "ml": "l"}.get(material.unit, material.unit)
        )


class TubEditForm(forms.ModelForm):
    """What may be corrected about a tub; its material and its history stay."""

    tare_mg = AmountField(label="Empty, it weighs", unit="kg")
    capacity = AmountField(label="Full, it holds")

    class Meta:
        model = Container
        fields = ["tare_mg", "capacity", "stands_at"]

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        unit = self.instance.material.unit
        self.fields["capacity"].in_units(unit, scale_unit(unit, self.instance.capacity))
        self.fields["stands_at"].help_text = OPTIONAL

    def clean_capacity(self) -> int:
        """A tub that holds nothing is none."""
        capacity = self.cleaned_data["capacity"]
        if not capacity:
            raise forms.ValidationError("Type how much the tub holds when full.")
        return capacity


class SupplierForm(NameOnce, forms.ModelForm):
    """Somebody who delivers."""

    class Meta:
        model = Supplier
        fields = ["name", "lead_working_days"]
        labels = {"lead_working_days": "Takes, in working days"}


class MaterialForm(NameOnce, SaysChoose, forms.ModelForm):
    """A material; the two amounts are typed with their unit."""

    safety_level = forms.CharField(
        max_length=40, required=False, label="Keep at least", help_text='with its unit: "3 kg", "12 pcs"'
    )
    pack_size = forms.CharField(
        max_length=40, required=False, label="One pack", help_text='as it is sold: "20 kg", if you know it'
    )

    class Meta:
        model = Material
        fields = [
            "name",
            "kind",
            "unit",
            "supplier",
            "safety_level",
            "pack_size",
            "slack_days",
            "unopened_life_days",
            "opened_life_days",
            "density_g_per_ml",
            "cautions",
            "hazard_wording",
            "retired_on",
        ]
        labels = {
            "unit": "Kept in",
            "slack_days": "Days a delivery may run late",
            "unopened_life_days": "Keeps unopened, days",
            "opened_life_days": "Keeps once opened, days",
            "density_g_per_ml": "Density, g per mL",
            "hazard_wording": "Hazard wording of the supplier's safety data sheet",
            "retired_on": "Not used since",
        }
        widgets = {"retired_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("supplier", "unopened_life_days", "opened_life_days", "density_g_per_ml", "retired_on"):
            self.fields[name].required = False
            self.fields[name].help_text = OPTIONAL
        self.fields["slack_days"].help_text = ""
        self.fields["hazard_wording"].help_text = "as it stands there, word for word"
        if self.instance.pk:
            for name in ("safety_level", "pack_size"):
                amount = getattr(self.instance, name)
                self.initial[name] = level_in_words(amount, self.instance.unit) if amount else ""
            if self.instance.lots.exists():
                self.fields["unit"].disabled = True
                self.fields["unit"].help_text = "Fixed: the ledger counts in it."

    def clean(self) -> dict[str, Any]:
        """Read the two amounts in the unit chosen beside them."""
        typed = super().clean()
        for name, blank in (("safety_level", 0), ("pack_size", None)):
            typed[name] = self._amount(name, typed.get(name, ""), typed.get("unit"), blank)
        return typed

    def clean_density_g_per_ml(self) -> float | None:
        """A density is above zero, or not known."""
        density = self.cleaned_data["density_g_per_ml"]
        if density is not None and density <= 0:
            raise forms.ValidationError("A density is above zero. Leave it blank if you do not know it.")
        return density

    def _amount(self, name: str, text: str | None, unit: str | None, blank: int | None) -> int | None:
        if not text or not unit:
            return blank
        try:
            amount = parse_amount(text, unit)  # type: ignore[arg-type]
        except StudioError as fault:
            self.add_error(name, fault.message)
            return blank
        return amount or blank
