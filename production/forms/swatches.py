"""What is typed about swatches and tints."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.fields import PhotoField
from production.arithmetic.colour_difference import Lab
from production.forms.numbers import NumberField, PartField


class SwatchForm(forms.Form):
    """What a colour meter shows of a dry casting, a photo of it, or both."""

    lightness = NumberField(label="L*", required=False)
    a = NumberField(label="a*", required=False)
    b = NumberField(label="b*", required=False)
    photo = PhotoField(label="Photo")

    def clean(self) -> dict[str, Any]:
        """All three figures or none."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        axes = ("lightness", "a", "b")
        missing = [name for name in axes if cleaned.get(name) is None and name not in self.errors]
        if 0 < len(missing) < len(axes):
            self.add_error(missing[0], ValidationError("Type all three, as the meter shows them."))
        return cleaned

    def content(self) -> dict[str, Any]:
        """What the operations take."""
        typed = self.cleaned_data
        lab = None if typed["lightness"] is None else Lab(typed["lightness"], typed["a"], typed["b"])
        return {"lab": lab, "photo": typed["photo"]}


class TintForm(forms.Form):
    """A tint of a colour."""

    name = forms.CharField(max_length=40, label="Name of the tint")
    strength = PartField(label="Strength", help_text="Of every pigment, such as 50 %.")
