"""What is typed at the bench and on the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.fields import AmountField
from production.queries.offered import ArticleOffered

WATER_ADJUST_MOST = 25.0
PIECES_MOST = 40


class PercentField(forms.FloatField):
    """A number with either decimal sign and either minus."""

    def to_python(self, value: Any) -> float | None:
        """The number typed, None for a blank."""
        if isinstance(value, str):
            value = value.replace(",", ".").replace("\u2212", "-").removesuffix("%").strip()
        number: float | None = super().to_python(value)
        return number


class WaterForm(forms.Form):
    """Thicker or thinner: one number, the water in percent more or less."""

    water = PercentField(
        label="Water, more or less",
        required=False,
        min_value=-WATER_ADJUST_MOST,
        max_value=WATER_ADJUST_MOST,
        help_text="5 is thinner, -5 is thicker.",
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        error_messages={
            "invalid": "Type a number, such as 5 or -5.",
            "min_value": "Thicker than 25 %% less water is another mix. Type a number up to 25.",
            "max_value": "Thinner than 25 %% more water is another mix. Type a number up to 25.",
        },
    )

    @property
    def percent(self) -> float | None:
        """The number typed, None when the field is empty or wrong."""
        percent: float | None = self.cleaned_data.get("water") if self.is_valid() else None
        return percent


class OtherMixForm(forms.Form):
    """What to cast beside the plan: an article in one of its colours, and how many."""

    wanted = forms.ChoiceField(label="What to cast")
    pieces = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=PIECES_MOST,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "invalid": "Type a whole number, such as 2.",
            "min_value": "Type one or more.",
            "max_value": f"One mix fills {PIECES_MOST} at most. Type less.",
        },
    )

    def __init__(self, *args: Any, offered: Sequence[ArticleOffered], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["wanted"].choices = [
            (f"{article.id}-{colour.id}", f"{article.name}, {colour.name}")
            for article in offered
            for colour in article.colours
        ]

    @property
    def chosen(self) -> tuple[int, int, int]:
        """Article, colour and how many."""
        article, colour = self.cleaned_data["wanted"].split("-")
        return int(article), int(colour), self.cleaned_data["pieces"]


class WeightForm(forms.Form):
    """One reading of the scale, in grams unless another unit is typed."""

    mass = AmountField(label="On the scale")
