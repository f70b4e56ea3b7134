"""Amounts and days as the sentences of the stores say them."""

from __future__ import annotations

from datetime import date
from typing import Any

from inventory.arithmetic.quantities import THOUSANDTHS, format_amount


def in_words(amount: int, unit: Any) -> str:
    """Give an amount (thousandths of `unit`) as a sentence says it: "9.31 kg", "850 g", "1.9 L", "12 pcs".

    Kilograms and litres from 1000 g or ml up, with as many places as there is to say, two at least.
    """
    if unit == "piece" or abs(amount) < THOUSANDTHS * THOUSANDTHS:
        return format_amount(amount, unit)
    places = next((places for places in (2, 3) if amount % 10 ** (6 - places) == 0), 6)
    return format_amount(amount, unit, as_unit="auto", places=places)


def week_day(day: date) -> str:
    """A day near by: "Wed 7 Oct"."""
    return f"{day:%a} {day.day} {day:%b}"


def full_day(day: date) -> str:
    """A day that may be far: "7 Oct 2026"."""
    return f"{day.day} {day:%b %Y}"
