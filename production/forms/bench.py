"""What is typed at the bench and on the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.utils.timezone import get_current_timezone

from inventory.arithmetic.quantities import format_amount
from inventory.fields import AmountField, PhotoField
from production.arithmetic.wall_clock import last_instant
from production.queries.offered import ArticleOffered
from production.queries.really_weighed import Ingredient
from production.queries.wording import listed

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


class TimeForm(forms.Form):
    """When it really happened, by the clock on the wall; blank for now."""

    at = forms.TimeField(
        label="At",
        required=False,
        input_formats=("%H:%M", "%H.%M", "%H%M"),
        # Typed as text: a field for time asks for am and pm on some devices.
        widget=forms.TextInput(attrs={"inputmode": "numeric", "placeholder": "09:40", "autocomplete": "off"}),
        error_messages={"invalid": "Type a time, such as 09:40."},
    )

    def __init__(self, *args: Any, now: datetime, **options: Any) -> None:
        super().__init__(*args, **options)
        self.now = now

    def clean_at(self) -> datetime | None:
        """The last instant at which the clock showed it."""
        typed = self.cleaned_data.get("at")
        if typed is None:
            return None
        instant = last_instant(typed, self.now, get_current_timezone())
        if instant is None:
            raise forms.ValidationError(
                f"The clock was put forward over {typed:%H:%M}. Type a time that it showed."
            )
        return instant


def happened_at(form: TimeForm) -> dict[str, datetime]:
    """The time typed as an act takes it; nothing when it was left blank, so that the act takes its own."""
    at = form.cleaned_data["at"]
    return {"happened_at": at} if at else {}


class WeighedForm(forms.Form):
    """What went into the jug: a tick for each ingredient, and the real grams where they are not the page's.

    The grams are typed, or told by what the tub weighed on the scale before and after.
    """

    def __init__(self, *args: Any, ingredients: Sequence[Ingredient], **options: Any) -> None:
        super().__init__(*args, **options)
        self.ingredients = ingredients
        for one in ingredients:
            self.fields[f"in_{one.key}"] = forms.BooleanField(label=f"{one.name} is in", required=False)
            for name, label in (("real", "Really in"), ("before", "Tub before"), ("after", "Tub after")):
                self.fields[f"{name}_{one.key}"] = AmountField(label=label, required=False)

    def clean(self) -> dict[str, Any]:
        """Every ingredient ticked, and grams that agree with themselves."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        missing = [one.name for one in self.ingredients if not typed.get(f"in_{one.key}")]
        if missing:
            raise forms.ValidationError(
                f"Not ticked yet: {listed(missing)}. Tick what is in the jug, then press again."
            )
        for one in self.ingredients:
            self._check(one, *(typed.get(f"{name}_{one.key}") for name in ("real", "before", "after")))
        return typed

    def _check(self, one: Ingredient, real: int | None, before: int | None, after: int | None) -> None:
        if (before is None) != (after is None):
            empty = "before" if before is None else "after"
            self.add_error(f"{empty}_{one.key}", f"Type what the tub weighed {empty} too, or neither.")
        elif before is not None and after is not None:
            if after >= before:
                self.add_error(f"after_{one.key}", "The tub is no lighter than before. Read the scale again.")
            elif real is not None and real != before - after:
                both = f"{format_amount(before - after, 'g')} went out of the tub"
                self.add_error(f"real_{one.key}", f"{both}, which is not this. Leave one of the two empty.")

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The fields of each ingredient together, for the page."""
        return [
            {"key": one.key} | {name: self[f"{name}_{one.key}"] for name in ("in", "real", "before", "after")}
            for one in self.ingredients
        ]

    @property
    def weighed_mg(self) -> dict[str, int]:
        """The grams that were typed or told by difference, by ingredient."""
        found: dict[str, int] = {}
        for one in self.ingredients:
            real, before, after = (
                self.cleaned_data.get(f"{name}_{one.key}") for name in ("real", "before", "after")
            )
            if before is not None and after is not None:
                real = before - after
            if real is not None:
                found[one.key] = real
        return found


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


class OutcomePhotoForm(forms.Form):
    """A photo of what went wrong."""

    photo = PhotoField(label="Photo", help_text="As JPEG, PNG or WebP.")


class WeightForm(forms.Form):
    """One reading of the scale, in grams unless another unit is typed."""

    mass = AmountField(label="On the scale")
