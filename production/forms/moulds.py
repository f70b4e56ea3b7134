"""What is typed about moulds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.fields import AmountField, MoneyField, NameOnce, PhotoField
from production.arithmetic.water_volume import TEMPERATURE_LEAST_C, TEMPERATURE_MOST_C
from production.drawings.silhouettes import OUTLINES
from production.forms.numbers import MinutesField, NumberField, WaitField
from production.models import Mould, MouldCopy
from production.models.moulds import Ended
from production.queries.copies import CopyNow

SILHOUETTES = [(name, name) for name in OUTLINES]


class WaterFillForm(forms.Form):
    """One fill: grams of water, and how warm it is."""

    water = AmountField(label="Add a fill")
    water_c = NumberField(label="Water at", unit="°C")
    copy_id = forms.TypedChoiceField(
        label="Which copy", coerce=int, empty_value=None, required=False, help_text="It is damp afterwards."
    )

    def __init__(self, *args: Any, copies: Sequence[CopyNow] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        here = [copy for copy in copies if not (copy.is_lent or copy.is_retired or copy.in_mix)]
        by_number = sorted(here, key=lambda copy: copy.number)
        choices = [(copy.copy_id, f"copy {copy.number}") for copy in by_number]
        self.fields["copy_id"].choices = [("", "not said"), *choices]

    def clean_water(self) -> int:
        """More than nothing."""
        water: int = self.cleaned_data["water"]
        if water <= 0:
            raise ValidationError("That is no fill. Type what the mould took.")
        return water

    def clean_water_c(self) -> float:
        """Within what the formula of the water's density holds for."""
        celsius: float = self.cleaned_data["water_c"]
        if not TEMPERATURE_LEAST_C <= celsius <= TEMPERATURE_MOST_C:
            raise ValidationError(
                f"Water at {celsius:g} °C is outside {TEMPERATURE_LEAST_C:g} to {TEMPERATURE_MOST_C:g} °C."
                " Read it again."
            )
        return celsius


class MouldForm(NameOnce, forms.ModelForm):
    """A kind of mould. Its volume can be typed as long as no water fill says better."""

    silhouette = forms.ChoiceField(choices=SILHOUETTES, initial="block", label="Outline")
    volume = AmountField(
        base="ml",
        required=False,
        label="Volume",
        help_text="If you know it already. Three water fills on the scale say it better.",
    )
    fill_minutes = MinutesField(label="Filling takes", min_value=1, initial=2)
    open_minutes = MinutesField(label="Opening takes", min_value=0, initial=3)
    in_mould_minutes = WaitField(
        required=False,
        label="In the mould",
        help_text="From the pour to opening, such as 3 h. Empty: what the compound says.",
    )
    clean_and_dry_minutes = WaitField(
        label="To clean and dry", initial=120, help_text="A damp mould marks the surface of the next cast."
    )

    class Meta:
        model = Mould
        fields = [
            "name",
            "silhouette",
            "fill_minutes",
            "open_minutes",
            "in_mould_minutes",
            "clean_and_dry_minutes",
        ]

    field_order = ["name", "silhouette", "volume"]

    def __init__(self, *args: Any, has_fills: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if has_fills:
            del self.fields["volume"]
        else:
            self.fields["volume"].initial = self.instance.volume_ul

    def clean_volume(self) -> int | None:
        """Nothing, or more than nothing."""
        volume: int | None = self.cleaned_data["volume"]
        if volume is not None and volume <= 0:
            raise ValidationError("A mould holds something. Type its volume, or leave it empty.")
        return volume

    def save(self, commit: bool = True) -> Any:
        """Keep the typed volume too."""
        if "volume" in self.fields:
            self.instance.volume_ul = self.cleaned_data["volume"]
        return super().save(commit)


class RetireForm(forms.Form):
    """Why a copy is out of use for good."""

    ended = forms.ChoiceField(
        label="Why", choices=Ended.choices, initial=Ended.WORN, required=False, widget=forms.RadioSelect
    )

    def clean_ended(self) -> str:
        """Worn out unless something else is said."""
        return self.cleaned_data["ended"] or Ended.WORN


class MouldPhotoForm(forms.Form):
    """A photo of a mould."""

    photo = PhotoField(
        label="Photo", required=True, error_messages={"required": "Choose a photo, or take one."}
    )


class CopyForm(forms.ModelForm):
    """What is expected of a copy, mended."""

    casts_before = forms.IntegerField(min_value=0, label="Casts it had given before it was noted")
    casts_expected = forms.IntegerField(min_value=1, label="Casts expected of it in all")
    price_minor = MoneyField(required=False, label="Price of it", help_text="if you have it")

    class Meta:
        model = MouldCopy
        fields = ["casts_before", "casts_expected", "price_minor"]

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["price_minor"].in_currency(currency)

    def clean_price_minor(self) -> int:
        """Nothing is a price of nothing."""
        return self.cleaned_data["price_minor"] or 0


class CopiesForm(forms.Form):
    """New copies of a mould."""

    count = forms.IntegerField(min_value=1, max_value=200, initial=1, label="How many")
    casts_before = forms.IntegerField(min_value=0, initial=0, label="Casts it has given already")
    casts_expected = forms.IntegerField(min_value=1, initial=60, label="Casts expected of it in all")
    price_minor = MoneyField(required=False, label="Price of one", help_text="if you have it")

    def __init__(self, *args: Any, currency: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["price_minor"].in_currency(currency)

    def content(self) -> dict[str, int]:
        """What the operation takes."""
        return {key: value or 0 for key, value in self.cleaned_data.items()}
