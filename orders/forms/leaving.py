"""How boxes leave, and what comes back of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from inventory.fields import AmountField
from inventory.queries.packaging import Packaging
from orders.forms import day_field, text_field


class ShipForm(forms.Form):
    """How a box leaves: what it is packed in, what the scale says, who carries it. All of it may be left."""

    weight = AmountField(
        base="g", unit="kg", label="On the scale, box and all", required=False, help_text="if you weigh it"
    )
    carrier = text_field("Carrier", 60, required=False, help_text="if you like")
    tracking = text_field("Tracking", 80, required=False, help_text="if you have it")
    as_weighed = forms.BooleanField(label="Ship it as weighed", required=False)

    def __init__(
        self, *arguments: Any, packaging: Sequence[Packaging], suggested: Mapping[int, int], **options: Any
    ) -> None:
        super().__init__(*arguments, **options)
        self.packs: list[str] = []
        for one in packaging:
            if one.id in suggested:
                name = f"pack_{one.id}"
                self.fields[name] = AmountField(
                    base=one.unit, label=one.name, required=False, initial=suggested[one.id]
                )
                self.packs.append(name)
        others = [(one.id, one.name) for one in packaging if one.id not in suggested]
        self.units = {one.id: one.unit for one in packaging}
        if others:
            self.fields["other"] = forms.ChoiceField(
                label="Another" if self.packs else "Packed in",
                choices=[("", "none"), *others],
                required=False,
            )
            self.fields["other_amount"] = forms.CharField(
                label="How much of it", max_length=40, required=False
            )

    @property
    def pack_fields(self) -> list[forms.BoundField]:
        """The fields of what is suggested."""
        return [self[name] for name in self.packs]

    def clean(self) -> dict[str, Any]:
        """What else it is packed in wants an amount; kept as `packaging`, None where nothing was said."""
        cleaned = super().clean() or self.cleaned_data
        given = {name.removeprefix("pack_"): cleaned.get(name) or 0 for name in self.packs}
        other = cleaned.get("other")
        if other:
            amount = AmountField(base=self.units[int(other)], required=False)
            try:
                given[other] = amount.clean(cleaned.get("other_amount") or "1") or 0
            except forms.ValidationError as fault:
                self.add_error("other_amount", fault)
        said = any(name in self.data for name in (*self.packs, "other"))
        cleaned["packaging"] = given if said else None
        return cleaned

    def content(self) -> dict[str, Any]:
        """What was typed, for the operation."""
        names = ("packaging", "carrier", "tracking", "as_weighed")
        return {name: self.cleaned_data[name] for name in names} | {"weight_mg": self.cleaned_data["weight"]}


class CarrierForm(forms.Form):
    """Who carries a parcel, noted after it has left."""

    carrier = text_field("Carrier", 60, required=False)
    tracking = text_field("Tracking", 80, required=False)


RETURN_WHY = (
    ("broken in post", "it arrived broken"),
    ("fault", "a fault of ours"),
    ("wrong piece", "the wrong piece was sent"),
    ("not wanted", "not wanted after all"),
)
RETURN_AS = (
    ("good", "good: back on the shelf"),
    ("second", "second: back on the shelf"),
    ("scrap", "scrap, or not sent back"),
)


class ReturnForm(forms.Form):
    """Pieces that came back or arrived broken."""

    marks = forms.MultipleChoiceField(
        label="Which pieces",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick which piece it is."},
    )
    why = forms.ChoiceField(label="What happened", choices=RETURN_WHY, widget=forms.RadioSelect)
    outcome = forms.ChoiceField(label="What it is now", choices=RETURN_AS, widget=forms.RadioSelect)

    def __init__(self, *arguments: Any, marks: Sequence[str], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.fields["marks"].choices = [(mark, mark) for mark in marks]  # type: ignore[attr-defined]


class ReplacementForm(forms.Form):
    """The day a replacement leaves."""

    ship_by = day_field("Replacement leaves by")
