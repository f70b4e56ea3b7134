"""Fields of forms that read amounts and money as people type them, and show them with their unit."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.arithmetic.photos import CleanPhoto, check_bytes, clean_photo
from inventory.arithmetic.quantities import (
    THOUSANDTHS,
    parse_amount,
    parse_money,
    split_amount,
    split_money,
)
from inventory.errors import StudioError


class AmountField(forms.CharField):
    """An amount: thousandths of `base` inside, typed and shown in `unit` unless another is typed after it."""

    def __init__(self, *, base: str = "g", unit: str | None = None, **options: Any) -> None:
        super().__init__(max_length=40, **options)
        self.in_units(base, unit or base)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off"})

    def in_units(self, base: str, unit: str) -> None:
        """Read and show in `unit` from now on."""
        self.base = base
        self.typed_unit = unit
        self.unit = {"l": "L", "ml": "mL", "piece": "pcs"}.get(unit, unit)

    def clean(self, value: Any) -> int | None:
        """The amount in thousandths, None for a blank that may be blank."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_amount(text, self.base, default_unit=self.typed_unit)  # type: ignore[arg-type]
        except StudioError as fault:
            raise ValidationError(fault.message) from fault

    def prepare_value(self, value: Any) -> Any:
        """A figure for the frame of the field; what was typed stays as typed."""
        if not isinstance(value, int):
            return value
        places = 3 if value % (10 * THOUSANDTHS) else 2
        in_large = self.typed_unit in ("kg", "l")
        parts = split_amount(
            value,
            self.base,  # type: ignore[arg-type]
            as_unit=self.typed_unit,
            places=places if in_large else None,
        )
        return parts.figure.replace(",", "")


class MoneyField(forms.CharField):
    """A sum of money: minor units of `currency` inside."""

    def __init__(self, *, currency: str = "GBP", **options: Any) -> None:
        super().__init__(max_length=40, **options)
        self.in_currency(currency)
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off"})

    def in_currency(self, currency: str) -> None:
        """Read and show in `currency` from now on."""
        self.unit = currency

    def clean(self, value: Any) -> int | None:
        """The sum in minor units, None for a blank that may be blank."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_money(text, self.unit)
        except StudioError as fault:
            raise ValidationError(fault.message) from fault

    def prepare_value(self, value: Any) -> Any:
        """The figure without its code; what was typed stays as typed."""
        if not isinstance(value, int):
            return value
        return split_money(value, self.unit).figure.replace(",", "")


class PhotoField(forms.FileField):
    """A photo from the phone or a file: cleaned inside (`CleanPhoto`), None when none was chosen.

    The form needs `enctype="multipart/form-data"` and `request.FILES`; keep it with `store_photo` in an act.
    """

    def __init__(self, **options: Any) -> None:
        widget = forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"})
        super().__init__(**{"widget": widget, "required": False, **options})
        self.error_messages["empty"] = "That file is empty. Choose the photo again."

    def clean(self, value: Any, initial: Any = None) -> CleanPhoto | None:
        """The photo drawn anew, without what the camera wrote beside it."""
        file = super().clean(value, None)
        if not file:
            return None
        try:
            check_bytes(file.size, file.name)
            return clean_photo(file.read(), file.name)
        except StudioError as fault:
            raise ValidationError(fault.message) from fault


def scale_unit(base: str, capacity: int) -> str:
    """The unit to type in for a tub of this capacity (thousandths): kilograms and litres from 1000 up."""
    if capacity >= THOUSANDTHS * THOUSANDTHS:
        return {"g": "kg", "ml": "l"}.get(base, base)
    return base


CHOOSE_ONE = "choose"
OPTIONAL = "if you have it"


class SaysChoose:
    """For a form made of a model: an empty choice says what it asks for, where Django draws dashes."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for field in self.fields.values():  # type: ignore[attr-defined]
            if isinstance(field, forms.ModelChoiceField):
                field.empty_label = CHOOSE_ONE if field.empty_label else None
            elif isinstance(field, forms.ChoiceField):
                field.choices = [(value, words if value else CHOOSE_ONE) for value, words in field.choices]


class NameOnce:
    """For the form of a thing with a name: the same name is refused, in capitals or not."""

    def clean_name(self) -> str:
        """The name, when nothing else of its kind has it."""
        name: str = self.cleaned_data["name"]  # type: ignore[attr-defined]
        own = self.instance  # type: ignore[attr-defined]
        twin = type(own)._default_manager.filter(name__iexact=name).exclude(pk=own.pk).first()
        if twin:
            raise forms.ValidationError(f"{twin.name} is here already. Give this one another name.")
        return name
