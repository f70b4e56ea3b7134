"""Materials and suppliers."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.arithmetic.quantities import parse_amount
from inventory.errors import StudioError
from inventory.fields import CHOOSE_ONE, OPTIONAL, MoneyField, NameOnce, SaysChoose
from inventory.models import Material, Supplier
from inventory.queries.wording import level_in_words


class ChooseMaterialForm(forms.Form):
    """Which material."""

    material = forms.ModelChoiceField(
        queryset=Material.objects.filter(retired_on__isnull=True), empty_label=CHOOSE_ONE
    )


class SupplierForm(NameOnce, forms.ModelForm):
    """Somebody who delivers."""

    class Meta:
        model = Supplier
        fields = ["name", "lead_working_days", "carriage_minor"]
        labels = {"lead_working_days": "Takes, in working days"}

    carriage_minor = MoneyField(required=False, label="Carriage of one delivery", help_text=OPTIONAL)

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["carriage_minor"].in_currency(currency)

    def clean_carriage_minor(self) -> int:
        """Blank is none."""
        return self.cleaned_data["carriage_minor"] or 0


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
            "melted_density_g_per_ml",
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
            "melted_density_g_per_ml": "Density when melted, g per mL",
            "hazard_wording": "Hazard wording of the supplier's safety data sheet",
            "retired_on": "Not used since",
        }
        widgets = {"retired_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("supplier", "unopened_life_days", "opened_life_days", "density_g_per_ml", "retired_on"):
            self.fields[name].required = False
            self.fields[name].help_text = OPTIONAL
        self.fields["melted_density_g_per_ml"].help_text = "of a wax: wax fills are reckoned with it"
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
        return self._above_zero("density_g_per_ml")

    def clean_melted_density_g_per_ml(self) -> float | None:
        """The same of melted wax; nothing else is melted, and the page asks it of wax only."""
        is_wax = self.cleaned_data.get("kind") == Material.Kind.WAX
        return self._above_zero("melted_density_g_per_ml") if is_wax else None

    def _above_zero(self, name: str) -> float | None:
        density: float | None = self.cleaned_data[name]
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
