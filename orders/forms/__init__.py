"""Orders as typed, order files as chosen, and what their columns mean."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms

from inventory.arithmetic.cells import shorten
from orders.arithmetic.reading.cells import LATE_WEIGHTS, QUANTITY_MOST
from orders.arithmetic.reading.headings import FIELDS
from orders.arithmetic.reading.rows import ADDRESS_LINES_MOST, LENGTH_MOST, number_fault
from orders.operations.clients import SCOPES
from orders.operations.importing import ENCODINGS
from orders.operations.keeping import NewOrder
from orders.operations.wishes import LEVEL_MOST
from production.queries.offered import ArticleOffered

ROWS_SHOWN, ROWS_MORE, ROWS_MOST = 3, 3, 60


def day_field(label: str, **options: Any) -> forms.DateField:
    """A day, typed or chosen in the device's own calendar."""
    return forms.DateField(
        label=label,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Give a day.", "invalid": "That is not a day. Write it like 2026-10-12."},
        **options,
    )


def text_field(label: str, most: int, *, rows: int = 0, **options: Any) -> forms.CharField:
    """A text of so many signs at most, on one line or several."""
    widget = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
    return forms.CharField(label=label, max_length=most, widget=widget, **options)


@dataclass(frozen=True)
class LineHad:
    """A line that an order has: it may stay, even of an article that is not made any more."""

    article_id: int
    colour_id: int
    quantity: int
    seconds_do: bool
    label: str

    @property
    def choice(self) -> str:
        """The line among the choices."""
        return f"{self.article_id}:{self.colour_id}"


class LinesForm(forms.Form):
    """What is ordered: so many rows of an article in a colour, and how many."""

    rows = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=ROWS_MOST, required=False)

    def __init__(
        self,
        *arguments: Any,
        offered: Sequence[ArticleOffered],
        lines: Sequence[LineHad] = (),
        row_count: int = 0,
        begins_at: str = "",
        **options: Any,
    ) -> None:
        super().__init__(*arguments, **options)
        if begins_at and not self.is_bound:
            # What comes before it is filled in already: the keyboard begins here.
            self.fields[begins_at].widget.attrs["autofocus"] = True
        self.row_count = min(max(row_count, self._row_count(lines)), ROWS_MOST)
        self.initial["rows"] = self.row_count
        self.is_offering = bool(offered)
        choices = _choices(offered)
        known = {choice for _, group in choices[1:] for choice, _ in group}
        if not_made := [(line.choice, line.label) for line in lines if line.choice not in known]:
            choices.append(("Not made any more", not_made))
        for number in range(1, self.row_count + 1):
            self.fields[f"what_{number}"] = forms.ChoiceField(
                label="Article and colour", choices=choices, required=False
            )
            self.fields[f"count_{number}"] = forms.IntegerField(
                label="How many",
                min_value=1,
                max_value=QUANTITY_MOST,
                required=False,
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )
            self.fields[f"seconds_{number}"] = forms.BooleanField(label="Seconds will do", required=False)
        for number, line in enumerate(lines, start=1):
            self.initial.setdefault(f"what_{number}", line.choice)
            self.initial.setdefault(f"count_{number}", line.quantity)
            self.initial.setdefault(f"seconds_{number}", line.seconds_do)

    def _row_count(self, lines: Sequence[object]) -> int:
        try:
            asked = int(self.data.get("rows", 0)) if self.is_bound else 0
        except ValueError:
            asked = 0
        return max(asked, ROWS_SHOWN, len(lines) + (1 if lines else 0))

    @property
    def line_rows(self) -> list[tuple[forms.BoundField, ...]]:
        """The three fields of each row."""
        names = ("what", "count", "seconds")
        return [tuple(self[f"{name}_{row}"] for name in names) for row in range(1, self.row_count + 1)]

    def clean(self) -> dict[str, Any]:
        """A row wants both fields or neither, and one row is wanted at least."""
        cleaned = super().clean() or self.cleaned_data
        filled = 0
        for row in range(1, self.row_count + 1):
            what, count = cleaned.get(f"what_{row}"), cleaned.get(f"count_{row}")
            if what and count:
                filled += 1
            elif what and f"count_{row}" not in self.errors:
                self.add_error(f"count_{row}", "Say how many.")
            elif count and f"what_{row}" not in self.errors:
                self.add_error(f"what_{row}", "Choose article and colour.")
        if not filled and not self.errors:
            self.add_error("what_1", "Choose at least one article.")
        return cleaned

    def lines(self) -> tuple[tuple[int, int, int], ...]:
        """(article id, colour id, pieces) of each filled row."""
        found = []
        for row in range(1, self.row_count + 1):
            if self.cleaned_data.get(f"what_{row}"):
                article, colour = self.cleaned_data[f"what_{row}"].split(":")
                found.append((int(article), int(colour), self.cleaned_data[f"count_{row}"]))
        return tuple(found)

    def seconds(self) -> tuple[tuple[int, int], ...]:
        """(article id, colour id) of the rows that take seconds too."""
        return tuple(
            (int(article), int(colour))
            for row in range(1, self.row_count + 1)
            if self.cleaned_data.get(f"what_{row}") and self.cleaned_data.get(f"seconds_{row}")
            for article, colour in [self.cleaned_data[f"what_{row}"].split(":")]
        )


WEIGHTS = tuple(zip(LATE_WEIGHTS, ("counts as usual", "counts twice", "counts four times"), strict=True))


class OrderForm(LinesForm):
    """An order typed by hand."""

    number = text_field("Order", LENGTH_MOST["number"], error_messages={"required": "Give it a number."})
    customer = text_field(
        "Customer", LENGTH_MOST["customer"], error_messages={"required": "Say who it is for."}
    )
    address = text_field(
        "Send to", LENGTH_MOST["address"], rows=5, required=False, help_text="Address, line by line."
    )
    ordered_on = day_field("Ordered on")
    ship_by = day_field("Ship by")
    came_from = text_field(
        "Came from",
        LENGTH_MOST["came_from"],
        required=False,
        help_text="Post, market, a shop: if you have it.",
    )
    weight = forms.TypedChoiceField(
        label="If it is late", choices=WEIGHTS, coerce=int, empty_value=1, required=False, initial=1
    )
    gift_message = text_field(
        "Gift message", LENGTH_MOST["gift_message"], rows=2, required=False, help_text="Prints on the slip."
    )
    note = text_field("Note", LENGTH_MOST["note"], rows=2, required=False, help_text="For the studio only.")

    def clean_number(self) -> str:
        """A number that can stand in an address."""
        return _clean_number(self.cleaned_data["number"])

    def clean_address(self) -> str:
        """Lines without outer spaces, as many as the window of the slip takes."""
        lines = [line.strip() for line in self.cleaned_data["address"].splitlines() if line.strip()]
        if len(lines) > ADDRESS_LINES_MOST:
            raise forms.ValidationError(f"{len(lines)} lines. {ADDRESS_LINES_MOST} fit in the window.")
        return "\n".join(lines)

    def content(self) -> dict[str, Any]:
        """The order, for the operation."""
        typed = {name: self.cleaned_data[name] for name in OrderForm.declared_fields if name != "rows"}
        return {"order": NewOrder(**typed, lines=self.lines(), seconds=self.seconds())}


class MarketForm(LinesForm):
    """A market day: a name, a day and what to bring."""

    number = text_field(
        "Name", LENGTH_MOST["number"], help_text="Market and day, such as Invented Quay 10 Oct.",
        error_messages={"required": "Give it a name."},
    )  # fmt: skip
    ship_by = day_field("Market day")
    note = text_field("Note", LENGTH_MOST["note"], rows=2, required=False)

    def __init__(self, *arguments: Any, today: date, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.today = today

    def clean_number(self) -> str:
        """A name that can stand in an address."""
        return _clean_number(self.cleaned_data["number"])

    def content(self) -> dict[str, Any]:
        """The market day, for the operation."""
        return {
            "order": NewOrder(
                number=self.cleaned_data["number"],
                kind="market",
                ordered_on=min(self.today, self.cleaned_data["ship_by"]),
                ship_by=self.cleaned_data["ship_by"],
                note=self.cleaned_data["note"],
                lines=self.lines(),
                seconds=self.seconds(),
            )
        }


class WishForm(forms.Form):
    """How many of an article in a colour should stand on the shelf."""

    what = forms.ChoiceField(label="Article and colour", error_messages={"required": "Choose an article."})
    level = forms.IntegerField(
        label="On the shelf",
        min_value=0,
        max_value=LEVEL_MOST,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        error_messages={"required": "Say how many."},
    )

    def __init__(self, *arguments: Any, offered: Sequence[ArticleOffered], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.fields["what"].choices = _choices(offered)

    def content(self) -> dict[str, int]:
        """The wish, for the operation."""
        article, colour = self.cleaned_data["what"].split(":")
        return {"article_id": int(article), "colour_id": int(colour), "level": self.cleaned_data["level"]}


class AssignForm(forms.Form):
    """A piece chosen by hand for a line of an order."""

    line_id = forms.TypedChoiceField(label="For", coerce=int)
    mark = forms.CharField(
        label="Piece", max_length=8, error_messages={"required": "Type the mark of a piece."},
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *arguments: Any, lines: Mapping[int, str], **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.fields["line_id"].choices = list(lines.items())


class ClientForm(forms.Form):
    """A program to let in, and what it may do."""

    name = text_field(
        "Name", 60, help_text="Such as the shop's page.", error_messages={"required": "Give it a name."}
    )
    scopes = forms.MultipleChoiceField(
        label="It may",
        choices=[(scope, f"{words} ({scope})") for scope, words in SCOPES.items()],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Say what it may do."},
    )


class FileForm(forms.Form):
    """An order file to read."""

    file = forms.FileField(
        label="Order file",
        allow_empty_file=True,
        help_text="CSV with a heading row, any order of columns.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv"}),
        error_messages={"required": "Choose a file.", "invalid": "Choose a file."},
    )


HOW_IT_IS_WRITTEN = ("days", "encoding")


class ColumnsForm(forms.Form):
    """Which column of a file holds what; `samples` has the headings, each with what stands under it."""

    def __init__(
        self,
        *arguments: Any,
        samples: Mapping[str, str],
        columns: Mapping[str, Sequence[str]],
        encoding: str = "",
        day_first: bool | None = None,
        **options: Any,
    ) -> None:
        super().__init__(*arguments, **options)
        named = [
            (heading, f"{heading}: {shorten(sample, 24)}" if sample.strip() else heading)
            for heading, sample in samples.items()
        ]
        # What is needed first, the long list of address columns last.
        for field in sorted(FIELDS, key=lambda one: (one.name == "address", not one.needed)):
            chosen = list(columns.get(field.name, ()))
            if field.name == "address":
                self.fields[field.name] = forms.MultipleChoiceField(
                    label="Address, all its columns",
                    choices=named,
                    required=False,
                    initial=chosen,
                    widget=forms.CheckboxSelectMultiple,
                )
                continue
            empty = "choose" if field.needed else "not in the file"
            self.fields[field.name] = forms.ChoiceField(
                label=field.label,
                choices=[("", empty), *named],
                required=False,
                initial=chosen[0] if chosen else "",
            )

        self.fields["days"] = forms.ChoiceField(
            label="Days such as 3/4/2026",
            choices=[("", "as the file tells"), ("day", "day first"), ("month", "month first")],
            required=False,
            initial={True: "day", False: "month"}.get(day_first, ""),
        )
        self.fields["encoding"] = forms.ChoiceField(
            label="Letters are written as",
            choices=[(name, words) for name, words in ENCODINGS.items()],
            required=False,
            initial=encoding,
            help_text="If names look wrong, try another.",
        )

    def reading(self) -> dict[str, str]:
        """How days and letters are written, for the operation."""
        return {name: self.cleaned_data[name] for name in HOW_IT_IS_WRITTEN}

    def content(self) -> dict[str, Any]:
        """Field -> headings, for the operation."""
        found = {}
        for name, value in self.cleaned_data.items():
            if name in HOW_IT_IS_WRITTEN:
                continue
            found[name] = list(value) if isinstance(value, list) else [value]
        return {"columns": found}


def _choices(offered: Sequence[ArticleOffered]) -> list[Any]:
    """Every article in every colour it is made in, by article."""
    groups = [
        (
            article.name,
            [(f"{article.id}:{colour.id}", f"{article.name}, {colour.name}") for colour in article.colours],
        )
        for article in offered
    ]
    return [("", "choose"), *groups]


def _clean_number(typed: str) -> str:
    number = " ".join(typed.split())
    if fault := number_fault(number):
        raise forms.ValidationError(fault)
    return number
