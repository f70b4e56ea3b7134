"""Amounts and money in templates: no raw integer is ever shown."""

from __future__ import annotations

from typing import Any

from django import template

from inventory.arithmetic.quantities import format_money, split_amount
from inventory.queries.wording import in_words, level_in_words

register = template.Library()


@register.filter
def amount(thousandths: int | None, unit: str) -> str:
    """{{ mg|amount:"g" }} -> "2,140 g"; "kg" and other units of the same kind work too. Empty for None."""
    if thousandths is None:
        return ""
    base, shown_in = _units(unit)
    return str(split_amount(thousandths, base, as_unit=shown_in))


@register.filter
def figure(thousandths: int | None, unit: str) -> str:
    """Only the figure of an amount, for a head or a frame that bears the unit: "2,140"."""
    if thousandths is None:
        return ""
    base, shown_in = _units(unit)
    return split_amount(thousandths, base, as_unit=shown_in).figure


@register.filter
def volume(thousandths: int | None) -> str:
    """What a mould holds, to the tenth of a mL that its spread is said in: "521.7". Empty for None."""
    return "" if thousandths is None else split_amount(thousandths, "ml", places=1).figure


@register.filter
def said(thousandths: int | None, unit: str) -> str:
    """An amount as the sentences say it, kilograms from 1000 g up: "9.31 kg", "850 g"."""
    return "" if thousandths is None else in_words(thousandths, unit)


@register.filter
def level(thousandths: int | None, unit: str) -> str:
    """A level, pack or capacity: "3 kg", "2.5 L"."""
    return "" if thousandths is None else level_in_words(thousandths, unit)


@register.filter
def large(thousandths: int | None, unit: str) -> Any:
    """Figure and unit apart, kilograms and litres from 1000 up: {% with a=held|large:"g" %}{{ a.figure }}."""
    return None if thousandths is None else split_amount(thousandths, _units(unit)[0], as_unit="auto")


@register.filter
def money(minor: int | None, currency: str) -> str:
    """{{ minor|money:"GBP" }} -> "12.50 GBP". Empty for None."""
    return "" if minor is None else format_money(minor, currency)


@register.filter
def change(thousandths: int, unit: str) -> str:
    """What came to it or went: "+0.05 kg", "-0.10 kg"."""
    return f"{'+' if thousandths > 0 else ''}{in_words(thousandths, unit)}"


@register.filter
def change_of_money(minor: int, currency: str) -> str:
    """What a difference is worth: "+0.20 GBP", "-0.30 GBP"."""
    return f"{'+' if minor > 0 else ''}{format_money(minor, currency)}"


# The base unit each shown unit belongs to; the material's own units stand for themselves.
_BASES = {
    "g": "g",
    "kg": "g",
    "mg": "g",
    "oz": "g",
    "lb": "g",
    "ml": "ml",
    "l": "ml",
    "L": "ml",
    "piece": "piece",
}


def _units(unit: str) -> tuple[Any, str | None]:
    base = _BASES[unit]
    return base, None if unit == base else unit.lower()
