"""What is typed about a wax fill: the vessel, the wax, fragrance and wicks."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.fields import AmountField
from production.forms.numbers import NumberField, PartField
from production.forms.rows import offer_materials
from production.models import RouteStep

CONVENTIONS = (("of wax", "percent of the wax"), ("of total", "percent of wax and fragrance together"))


class FillForm(forms.ModelForm):
    """The fill of one route's cups. Amounts are reckoned from it when it is kept."""

    vessel = AmountField(
        base="ml", label="The cup holds", help_text="Filled with water to the brim, on the scale."
    )
    fill_part = PartField(
        label="Filled to",
        initial=0.9,
        min_value=1,
        max_value=100,
        help_text="Usual: 10 to 15 mm below the rim.",
    )
    wax_density = NumberField(
        unit="g/mL",
        label="Density of the wax, melted",
        help_text="As poured, usual 0.77 to 0.87; solid wax is heavier. It is noted with the material.",
    )
    fragrance_percent = NumberField(unit="%", label="How much fragrance", required=False, initial=0.0)
    convention = forms.ChoiceField(label="Reckoned as", choices=CONVENTIONS, initial="of wax")
    limit_percent = NumberField(
        unit="%",
        label="Most its maker allows",
        required=False,
        help_text="From the supplier's sheet, reckoned the same way.",
    )
    wicks = forms.IntegerField(
        label="Wicks in one piece",
        required=False,
        initial=1,
        min_value=0,
        max_value=12,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    class Meta:
        model = RouteStep
        fields = ["material", "fragrance", "wick"]
        labels = {"material": "Wax", "fragrance": "Fragrance", "wick": "Wick"}

    field_order = (
        "vessel",
        "fill_part",
        "material",
        "wax_density",
        "fragrance",
        "fragrance_percent",
        "convention",
        "limit_percent",
        "wick",
        "wicks",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        offer_materials(self, "material", "wax").required = True
        offer_materials(self, "fragrance", "fragrance").empty_label = "none"
        offer_materials(self, "wick", "wick").empty_label = "none"
        kept = self.instance.filling
        if kept:
            self.initial |= {**kept, "vessel": kept["vessel_ul"], "wicks": self.instance.wicks_each // 1000}
        elif self.instance.material:
            # Never its density as it is kept: solid wax is a tenth heavier, and the cup would run over.
            self.initial["wax_density"] = self.instance.material.melted_density_g_per_ml

    def clean(self) -> dict[str, Any]:
        """Melted wax is lighter than solid wax."""
        typed = super().clean() or self.cleaned_data
        wax, density = typed.get("material"), typed.get("wax_density")
        if wax and wax.density_g_per_ml and density and density > wax.density_g_per_ml:
            self.add_error(
                "wax_density",
                f"{density:g} g/mL is more than {wax.name} weighs solid, {wax.density_g_per_ml:g} g/mL."
                " Type it melted, as poured.",
            )
        return typed

    def content(self) -> dict[str, Any]:
        """What the act takes, once the form is valid."""
        typed = self.cleaned_data
        return {
            "wax_id": typed["material"].pk,
            "vessel_ul": typed["vessel"],
            "fill_part": typed["fill_part"],
            "wax_density": typed["wax_density"],
            "fragrance_id": typed["fragrance"].pk if typed["fragrance"] else None,
            "fragrance_percent": typed["fragrance_percent"] or 0.0,
            "convention": typed["convention"],
            "limit_percent": typed["limit_percent"],
            "wick_id": typed["wick"].pk if typed["wick"] else None,
            "wicks": typed["wicks"] or 0,
        }
