"""Amounts and days as the sentences of the stores say them."""

from __future__ import annotations

from datetime import date
from typing import Any

from inventory.arithmetic.quantities import THOUSANDTHS, format_amount

LARGE = THOUSANDTHS * THOUSANDTHS


def in_words(amount: int, unit: Any) -> str:
    """Give an amount (thousandths of `unit`) as a sentence says it: "9.31 kg", "850 g", "1.90 L", "12 pcs".

    Kilograms and litres from 1000 g or ml up, to the gram or millilitre, with two places at least.
    """
    return alike(unit, amount)[0]


def alike(unit: Any, *amounts: int) -> list[str]:
    """Give the amounts of one sentence in one unit, so that they can be compared and added by eye."""
    if unit == "piece" or max(abs(amount) for amount in amounts) < LARGE:
        return [format_amount(amount, unit) for amount in amounts]
    places = 2 if all(amount % (10 * THOUSANDTHS) == 0 for amount in amounts) else 3
    large = "kg" if unit == "g" else "l"
    return [format_amount(amount, unit, as_unit=large, places=places) for amount in amounts]


def level_in_words(amount: int, unit: Any) -> str:
    """Give a level, pack or capacity without zeros that say nothing: "3 kg", "2.5 L", "70 g"."""
    figure, _, shown_unit = in_words(amount, unit).partition(" ")
    trimmed = figure.rstrip("0").rstrip(".") if "." in figure else figure
    return f"{trimmed} {shown_unit}"


def week_day(day: date, today: date | None = None) -> str:
    """A day near by: "Wed 7 Oct"; given `today`, with its year where that is another: "Fri 1 Jan 2027"."""
    year = f" {day.year}" if today and day.year != today.year else ""
    return f"{day:%a} {day.day} {day:%b}{year}"


def full_day(day: date) -> str:
    """A day that may be far: "7 Oct 2026"."""
    return f"{day.day} {day:%b %Y}"
