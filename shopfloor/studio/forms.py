"""Forms of the Studio pages."""

from __future__ import annotations

import re
from datetime import date, time
from typing import Any

from django import forms
from django.contrib.auth.validators import UnicodeUsernameValidator

from inventory.arithmetic.money import parse_money
from inventory.errors import StudioError
from orders.papers.card_words import LANGUAGE, own_words
from shopfloor.studio.public_holidays import countries, regions

CLOSED_DAYS_MOST = 60
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]

# 8:30, 08:30 and 8.30, or four figures without a sign between: on a pad of figures there may be none.
WALL_TIME = re.compile(r"(?P<hour>[0-9]{1,2})[:.](?P<minute>[0-9]{2})|(?P<hh>[0-9]{2})(?P<mm>[0-9]{2})")


class WallTimeField(forms.TimeField):
    """A time of day on the 24 hour clock, as text: a browser's own time field may ask for AM and PM."""

    widget = forms.TimeInput(format="%H:%M", attrs={"inputmode": "numeric", "autocomplete": "off"})

    def to_python(self, value: Any) -> time | None:
        """The time typed, None for a blank."""
        if value in self.empty_values or isinstance(value, time):
            return value or None
        read = WALL_TIME.fullmatch(value.strip())
        hour, minute = (int(figures) for figures in read.groups() if figures) if read else (24, 0)
        if hour > 23 or minute > 59:
            raise forms.ValidationError(self.error_messages["invalid"], code="invalid")
        return time(hour, minute)


class PersonForm(forms.Form):
    """Somebody to let in."""

    name = forms.CharField(
        max_length=40,
        validators=[
            UnicodeUsernameValidator(
                message="A name has letters, figures and . - _ @ + only, without spaces."
            )
        ],
        help_text="what they type to sign in",
    )
    role = forms.ChoiceField(
        choices=[("helper", "helper: everything but the studio's own pages"), ("owner", "owner: everything")],
        initial="helper",
        widget=forms.RadioSelect,
    )


# In place of one weekday.
WORKING_DAYS = 7


class HoursForm(forms.Form):
    """A stretch of one weekday, or of all working days at once."""

    weekday = forms.TypedChoiceField(
        choices=[(WORKING_DAYS, "Monday to Friday"), *enumerate(WEEKDAYS)], coerce=int
    )
    opens = WallTimeField(label="From", help_text="24 hours, such as 08:30")
    closes = WallTimeField(label="Until", help_text="24 hours, such as 17:00")
    pairs = forms.IntegerField(label="Pairs of hands", min_value=1, max_value=20, initial=1)

    def clean(self) -> dict[str, Any] | None:
        """The end comes after the beginning; `weekdays` are the days meant."""
        cleaned = super().clean() or {}
        weekday = cleaned.pop("weekday", None)
        cleaned["weekdays"] = list(range(5)) if weekday == WORKING_DAYS else [weekday]
        opens, closes = cleaned.get("opens"), cleaned.get("closes")
        if opens and closes and closes <= opens:
            self.add_error(
                "closes",
                f"{closes:%H:%M} is not after {opens:%H:%M}. Past midnight, keep it as two stretches.",
            )
        return cleaned


class ClosedDaysForm(forms.Form):
    """Days on which nobody is in."""

    first = forms.DateField(
        label="First day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    last = forms.DateField(
        label="Last day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="if it is more than one",
    )
    reason = forms.CharField(max_length=80, required=False, help_text="if you like: fair, holiday")

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.today = today

    def clean_first(self) -> date:
        """A day that is over cannot be closed any more."""
        first: date = self.cleaned_data["first"]
        if first < self.today:
            raise forms.ValidationError(f"{first:%d %b %Y} is past. Give a day from today on.")
        return first

    def clean(self) -> dict[str, Any] | None:
        """The last day is not before the first, and the stretch is not a slip of the year."""
        cleaned = super().clean() or {}
        first: date | None = cleaned.get("first")
        last = cleaned["last"] = cleaned.get("last") or first
        if first and last and last < first:
            self.add_error("last", f"{last:%d %b %Y} is before {first:%d %b %Y}. Turn them round.")
        elif first and last and (last - first).days >= CLOSED_DAYS_MOST:
            days = (last - first).days + 1
            self.add_error("last", f"That is {days} days. Close at most {CLOSED_DAYS_MOST} at a time.")
        return cleaned


class HolidaysForm(forms.Form):
    """The place whose public holidays are closed days; its parts are offered once it is kept."""

    country = forms.ChoiceField(label="Public holidays of", required=False)
    region = forms.ChoiceField(label="Part of it", required=False)

    def __init__(self, *args: Any, country: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["country"].choices = [("", "nowhere"), *countries()]  # type: ignore[attr-defined]
        parts = regions(country)
        self.fields["region"].choices = [("", "all of it"), *parts]  # type: ignore[attr-defined]
        if not parts:
            del self.fields["region"]

    def clean(self) -> dict[str, Any] | None:
        """One code for both, kept as `place`."""
        cleaned = super().clean() or {}
        country, region = cleaned.get("country", ""), cleaned.get("region", "")
        return {"place": f"{country}-{region}" if country and region else country}


class HolidayForm(forms.Form):
    """One public holiday."""

    on = forms.DateField(widget=forms.HiddenInput)


SLIP_SIZES = (("a5", "A5"), ("l46", "4 x 6 in"), ("a4", "A4"), ("letter", "US Letter"))
SHEET_SIZES = (("a4", "A4"), ("letter", "US Letter"))


class SettingsForm(forms.Form):
    """What papers and costs need to know."""

    name = forms.CharField(max_length=80, label="Name of the studio")
    address = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 3}), help_text="on papers")
    contact = forms.CharField(max_length=120, required=False, help_text="on papers: an e-mail or web address")
    country = forms.ChoiceField(label="Country you post from", help_text="addresses elsewhere name theirs")
    slip_size = forms.ChoiceField(label="Packing slips on", choices=SLIP_SIZES)
    sheet_size = forms.ChoiceField(label="Sheets, cards and letters on", choices=SHEET_SIZES)
    wick_mm = forms.IntegerField(
        label="Trim wicks to", min_value=3, max_value=12, help_text="mm, on care cards of candles"
    )
    card_language = forms.RegexField(
        r"^[a-z]{2,3}(-[A-Z][a-z]{3})?(-([A-Z]{2}|[0-9]{3}))?$",
        label="Language of care cards",
        required=False,
        max_length=12,
        help_text="of the words below and of Looking after it on the Range: de, pt-BR, ar",
        error_messages={"invalid": "Write a language as its code, such as en-GB, de or ar."},
    )
    card_words = forms.CharField(
        label="Your words on care cards",
        required=False,
        max_length=8000,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="after the =, where the usual words will not do; what you leave empty prints as it stands",
    )
    forget_after_months = forms.IntegerField(
        label="Erase names and addresses after",
        required=False,
        min_value=1,
        max_value=240,
        help_text="months from the last parcel, if you like; by itself, once a day",
    )
    currency = forms.RegexField(
        r"^[A-Z]{3}$",
        max_length=3,
        help_text="three letters, such as GBP",
        error_messages={"invalid": "A currency is three capital letters, such as GBP or EUR."},
    )
    hour_rate = forms.CharField(label="An hour of hands costs", max_length=20)
    late_step_days = forms.IntegerField(
        label="A late line weighs extra",
        min_value=0,
        max_value=60,
        help_text="as if it were so many days later",
    )
    drying_board_pieces = forms.IntegerField(
        label="Pieces on a drying board", min_value=1, max_value=500, help_text="what is coated in one go"
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["country"].choices = countries()  # type: ignore[attr-defined]

    def clean_card_language(self) -> str:
        """The language of the usual words where none is given."""
        return self.cleaned_data["card_language"] or LANGUAGE

    def clean_card_words(self) -> str:
        """Only the lines that say something else than usual are kept."""
        try:
            own = own_words(self.cleaned_data["card_words"])
        except StudioError as fault:
            raise forms.ValidationError(fault.message) from fault
        return "\n".join(f"{usual} = {said}" for usual, said in own.items())

    def clean(self) -> dict[str, Any] | None:
        """The rate is a sum in the studio's currency; kept as `hour_rate_minor`."""
        cleaned = super().clean() or {}
        rate = cleaned.pop("hour_rate", None)
        if rate and cleaned.get("currency"):
            try:
                cleaned["hour_rate_minor"] = parse_money(rate, cleaned["currency"])
            except StudioError as fault:
                self.add_error("hour_rate", fault.message)
        return cleaned
