"""Decanting, counting and spilling: what the scale shows, or how much it is."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.fields import CHOOSE_ONE, OPTIONAL, AmountField, scale_unit
from inventory.forms.tubs import TubChoiceField
from inventory.models import Container
from inventory.operations.counting import REASONS
from inventory.operations.spilling import WENT_TO
from inventory.queries.containers import TubPage, tubs_in_use
from inventory.queries.wording import in_words


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
