"""The history of who did what, as a list that can be narrowed and taken along."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django import forms
from django.contrib.auth.models import User

from inventory.tables.columns import EMPTY, StoresTable, WhenColumn
from inventory.tables.filters import Narrowing


class HistoryTable(StoresTable):
    """Each act: when it was recorded, who did it, what it did, and whether it was undone."""

    recorded_at = WhenColumn(verbose_name="When", attrs={"td": {"class": "key"}})
    by = tables.Column(verbose_name="Who", accessor="by__username", default="the studio itself")
    said = tables.Column(verbose_name="What", orderable=False)
    undone_act = tables.Column(verbose_name="Undone", orderable=False, default=EMPTY)

    class Meta:
        empty_text = "Nothing was done yet, or nothing that fits."
        order_by = "-recorded_at"

    def render_undone_act(self, value: int) -> str:
        """In a word."""
        return "undone"

    def value_undone_act(self, value: int) -> str:
        """The same in a file."""
        return "undone"


class HistoryNarrowing(Narrowing):
    """By a word, a person and days."""

    by = forms.ModelChoiceField(
        User.objects.order_by("username"), required=False, label="Who", empty_label="everybody"
    )
    since = forms.DateField(required=False, label="From", widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(required=False, label="To", widget=forms.DateInput(attrs={"type": "date"}))

    def content(self) -> dict[str, Any]:
        """The keywords of the query."""
        typed = super().content()
        return {**typed, "by": typed["by"].pk if typed["by"] else None}
