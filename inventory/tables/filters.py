"""What narrows a list. Each form turns the address into the keywords of one query."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms

from inventory.models import Container, Material, Posting, Supplier

LEDGER_DAYS = 90
ALL = "all"


class NamedMaterial(forms.ModelChoiceField):
    """A material, or all of them."""

    def __init__(self) -> None:
        super().__init__(
            Material.objects.order_by("name"), required=False, label="Material", empty_label="all"
        )


class Narrowing(forms.Form):
    """A word to look for, and whatever else the list can be narrowed by."""

    find = forms.CharField(required=False, max_length=60, label="Find")

    def __init__(self, given: Any, *, today: date) -> None:
        self.today = today
        super().__init__(given)

    def content(self) -> dict[str, Any]:
        """The keywords of the query; what was not understood narrows nothing."""
        typed = self.cleaned_data if self.is_valid() else {}
        return {name: typed.get(name) or None for name in self.fields}


class MaterialsNarrowing(Narrowing):
    """By kind."""

    kind = forms.ChoiceField(required=False, choices=[("", "all"), *Material.Kind.choices], label="Kind")


class TubsNarrowing(Narrowing):
    """By material, kind of tub, and whether anything is in it."""

    material = NamedMaterial()
    role = forms.ChoiceField(required=False, choices=[("", "all"), *Container.Role.choices], label="Kind")
    holding = forms.ChoiceField(
        required=False,
        choices=[("", "all"), ("something", "with something in"), ("nothing", "empty")],
        label="Holds",
    )


class LotsNarrowing(Narrowing):
    """By material, supplier and what is left of it."""

    material = NamedMaterial()
    supplier = forms.ModelChoiceField(
        Supplier.objects.order_by("name"), required=False, label="Supplier", empty_label="all"
    )
    left = forms.ChoiceField(
        required=False,
        choices=[("", "all"), ("left", "with something left"), ("past", "left and past best before")],
        label="Left",
    )

    def content(self) -> dict[str, Any]:
        """With the day that best before is compared to."""
        return {**super().content(), "today": self.today}


class LedgerNarrowing(Narrowing):
    """By days (the last ninety unless asked for others), kind, material and tub."""

    since = forms.DateField(required=False, label="From", widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(required=False, label="To", widget=forms.DateInput(attrs={"type": "date"}))
    kind = forms.ChoiceField(required=False, choices=[("", "all"), *Posting.Kind.choices], label="What")
    material = NamedMaterial()

    def __init__(self, given: Any, *, today: date) -> None:
        first = (today - timedelta(days=LEDGER_DAYS)).isoformat()
        filled = given.copy()
        filled.setdefault("since", first)
        filled.setdefault("until", today.isoformat())
        super().__init__(filled, today=today)

    def content(self) -> dict[str, Any]:
        """With both ends of the time."""
        typed = super().content()
        typed["since"] = typed["since"] or self.today - timedelta(days=LEDGER_DAYS)
        typed["until"] = typed["until"] or self.today
        return typed


class DeliveriesNarrowing(Narrowing):
    """By material and how they stand."""

    material = NamedMaterial()
    stands = forms.ChoiceField(
        required=False,
        choices=[("", "all"), ("open", "not in yet"), ("late", "late"), ("in", "in"), ("off", "called off")],
        label="Stands",
    )

    def content(self) -> dict[str, Any]:
        """With the day that lateness is reckoned from."""
        return {**super().content(), "today": self.today}


class SuppliersNarrowing(Narrowing):
    """By name; what is late is reckoned from today."""

    def content(self) -> dict[str, Any]:
        """With the day that lateness is reckoned from."""
        return {**super().content(), "today": self.today}
