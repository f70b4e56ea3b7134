"""A file of what the stores hold when they begin."""

from __future__ import annotations

from django import forms


class OpeningFileForm(forms.Form):
    """A file to read."""

    file = forms.FileField(
        label="File",
        allow_empty_file=True,
        help_text="CSV with a heading row, any order of columns.",
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,text/csv"}),
        error_messages={"required": "Choose a file.", "invalid": "Choose a file."},
    )
