"""Fields for plain numbers, percents and waits as people type them."""

from __future__ import annotations

import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

MINUTES = {
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 1),
    **dict.fromkeys(("", "h", "hr", "hrs", "hour", "hours"), 60),
    **dict.fromkeys(("d", "day", "days"), 1440),
}
WAIT_MINUTES_MOST = 60 * 1440
WAIT_PART = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*)\s*")


class NumberField(forms.FloatField):
    """A number with either decimal sign, its unit beside it."""

    widget = forms.TextInput

    def __init__(self, *, unit: str = "", **options: Any) -> None:
        super().__init__(**options)
        self.unit = unit
        self.widget.attrs.update({"inputmode": "decimal", "autocomplete": "off"})
        self.error_messages["invalid"] = "Type a number."

    def to_python(self, value: Any) -> float | None:
        """The number typed, None for a blank."""
        if isinstance(value, str):
            value = value.replace(",", ".").removesuffix(self.unit or " ").strip()
        number: float | None = super().to_python(value)
        return number

    def prepare_value(self, value: Any) -> Any:
        """The figure without a needless ".0"."""
        return f"{value:g}" if isinstance(value, float) else value


class PartField(NumberField):
    """A part of one, typed and shown in percent: 0.03 inside for 3 %."""

    def __init__(self, **options: Any) -> None:
        super().__init__(unit="%", **options)

    def clean(self, value: Any) -> float | None:
        """The part of one, None for a blank."""
        percent = super().clean(value)
        return None if percent is None else percent / 100

    def prepare_value(self, value: Any) -> Any:
        """The percent of a kept part; what was typed stays as typed."""
        return f"{value * 100:g}" if isinstance(value, float) else value


class MinutesField(forms.IntegerField):
    """Whole minutes."""

    unit = "min"

    def __init__(self, **options: Any) -> None:
        super().__init__(min_value=options.pop("min_value", 0), **options)
        self.widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


class WaitField(forms.CharField):
    """A wait: "90 min", "16 h", "2 d 4 h", a bare number as hours; whole minutes inside, None for a blank."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=30, **options)

    def clean(self, value: Any) -> int | None:
        """Minutes, None for a blank."""
        text = super().clean(value).strip().lower()
        if not text:
            return None
        parts = list(WAIT_PART.finditer(text))
        known = all(part[2] in MINUTES for part in parts)
        if not known or "".join(part[0] for part in parts) != text:
            raise ValidationError("Type a time such as 90 min, 16 h or 2 d.")
        minutes = sum(float(part[1].replace(",", ".")) * MINUTES[part[2]] for part in parts)
        if minutes > WAIT_MINUTES_MOST:
            raise ValidationError("Longer than 60 days cannot be meant. Type a shorter time.")
        return round(minutes)

    def prepare_value(self, value: Any) -> Any:
        """The minutes in the largest unit that leaves no rest; what was typed stays as typed."""
        if not isinstance(value, int):
            return value
        for unit in ("d", "h"):
            if value and value % MINUTES[unit] == 0:
                return f"{value // MINUTES[unit]} {unit}"
        return f"{value} min"
