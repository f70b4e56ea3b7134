"""The day and the time that a mix is moved to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from shopfloor.studio.forms import WallTimeField


class MoveForm(forms.Form):
    """A day with hands in, and when the powder goes in."""

    day = forms.TypedChoiceField(label="Day", coerce=date.fromisoformat)
    at = WallTimeField(
        label="Pour at",
        error_messages={
            "required": "Give a time.",
            "invalid": "That is no time of day. Write it like 09:15.",
        },
    )

    def __init__(self, *arguments: Any, days: Sequence[date], zone: ZoneInfo, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.zone = zone
        self.fields["day"].choices = [(day.isoformat(), f"{day:%a} {day.day} {day:%b}") for day in days]
        self.fields["at"].widget.attrs["data-time"] = ""

    def instant(self) -> datetime:
        """The instant asked for."""
        return datetime.combine(self.cleaned_data["day"], self.cleaned_data["at"], tzinfo=self.zone)
