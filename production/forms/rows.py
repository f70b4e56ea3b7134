"""What the forms of the range share: choices that keep what is chosen, and rows that say what is doubled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import Q
from django.forms import BaseInlineFormSet


def offer_materials(form: forms.ModelForm, name: str, kind: str = "") -> forms.ModelChoiceField:
    """Offer materials in use, of one kind if it is given, and the one chosen before even if it is retired."""
    return offer_in_use(form, name, **({"kind": kind} if kind else {}))


def offer_in_use(form: forms.ModelForm, name: str, **of: str) -> forms.ModelChoiceField:
    """Offer what is in use, and what was chosen before even if it is retired."""
    field: forms.ModelChoiceField = form.fields[name]  # type: ignore[assignment]
    in_use = Q(retired_on__isnull=True, **of)
    field.queryset = field.queryset.filter(in_use | Q(pk=getattr(form.instance, f"{name}_id")))  # type: ignore[union-attr]
    return field


def say_missing(form: forms.ModelForm, **fields: str) -> None:
    """Say of each field with nothing to choose from what has to be added first."""
    for name, thing in fields.items():
        field: forms.ModelChoiceField = form.fields[name]  # type: ignore[assignment]
        if not field.queryset.exists():  # type: ignore[union-attr]
            where = "Moulds" if thing == "mould" else "Range"
            field.help_text = f"No {thing} yet. Add one in {where} first."


class NamedRowsFormSet(BaseInlineFormSet):
    """Rows of one record; `doubled` says what is wrong when two rows are the same."""

    doubled = "Two rows are the same. Change one of them, or take it out."

    def get_unique_error_message(self, unique_check: Sequence[str]) -> str:
        """Said above the rows."""
        return self.doubled

    def get_form_error(self) -> str:
        """Said in the second of the two rows."""
        return self.doubled

    @property
    def kept(self) -> list[Any]:
        """The rows that are filled in without fault and not taken out."""
        return [
            form
            for form in self.forms
            if form.cleaned_data and not form.errors and not form.cleaned_data.get("DELETE")
        ]
