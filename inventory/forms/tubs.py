"""Which tub, a new one, and what is corrected about one."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.fields import CHOOSE_ONE, OPTIONAL, AmountField, scale_unit
from inventory.models import Container, Material
from inventory.queries.containers import tubs_in_use


class TubChoiceField(forms.ModelChoiceField):
    """A tub, named by code and material."""

    def label_from_instance(self, obj: Container) -> str:
        """ "Q2, working tub, Quick compound"."""
        return f"{obj.code}, {obj.role_words}, {obj.material.name}"


class ChooseTubForm(forms.Form):
    """Which tub."""

    tub = TubChoiceField(
        queryset=Container.objects.none(), to_field_name="code", label="Tub", empty_label=CHOOSE_ONE
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["tub"].queryset = tubs_in_use()


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
