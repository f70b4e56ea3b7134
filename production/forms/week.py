"""What is typed about the Week: a day that is kept free of pours."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from production.models import Colour


class FreeDayForm(forms.Form):
    """A day with hands in, and the colour that is not poured on it."""

    day = forms.TypedChoiceField(label="Day", coerce=date.fromisoformat)
    colour = forms.ModelChoiceField(
        Colour.objects.order_by("name"),
        label="Do not pour",
        required=False,
        empty_label="Anything at all",
        error_messages={"invalid_choice": "There is no such colour. Choose one of the list."},
    )

    def __init__(self, *arguments: Any, days: Sequence[date], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.fields["day"].choices = [(day.isoformat(), f"{day:%a} {day.day} {day:%b}") for day in days]
        self.fields["day"].error_messages["invalid_choice"] = "Choose a day of the list."
