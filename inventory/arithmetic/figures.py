"""Figures as people type and read them: either decimal sign, grouped thousands, nothing else."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

# Fifteen digits are more than any scale shows; beyond them a figure is a slip of the keyboard.
DIGITS_MOST = 15
# How much of what was typed is said back in a refusal.
TEXT_MOST = 40

_WIDE_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-", "\u2013": "-"})
_GROUPED_BY_SPACE = re.compile(r"[1-9][0-9]{0,2}(?: [0-9]{3})+(?:[.,][0-9]+)?")
_GROUPED_BY_COMMA = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_GROUPED_BY_DOT = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+,[0-9]+|[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}")
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+")
_ONE_COMMA_THREE_DIGITS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


@dataclass(frozen=True)
class Figure:
    """A figure read from text.

    `value` is read with a lone comma before exactly three digits as a thousands sign ("2,140" is 2140);
    `reads_two_ways` is true for exactly that shape, and `other_value` is then the decimal reading (2.140).
    """

    value: Decimal
    reads_two_ways: bool = False
    other_value: Decimal | None = None


class FigureNotRead(ValueError):
    """The text is no figure; `too_long` tells a figure with too many digits from no figure at all."""

    def __init__(self, text: str, *, too_long: bool = False) -> None:
        super().__init__(text)
        self.too_long = too_long


def tidy(text: str) -> str:
    """Give `text` with plain spaces and plain minus signs, without spaces at the ends."""
    return text.translate(_WIDE_SPACES).strip()


def read_figure(text: str) -> Figure:
    """Read one decimal figure, with an optional sign.

    A dot alone, or a comma alone, is the decimal sign. When both occur the last one is the decimal sign and
    the other must group thousands in threes. A comma or dot that occurs twice groups thousands. A single
    space may group thousands. A comma alone before exactly three digits ("2,140") is read as thousands,
    as this app prints them, and the answer says that it reads two ways; a leading zero ("0,140") does not.
    A dot alone is always the decimal sign ("2.140" is 2.14).

    Raises: FigureNotRead when the text is not a finite decimal figure ("nan", "1e5", "1,23,4").

    >>> read_figure("1.234,5").value
    Decimal('1234.5')
    """
    shape = tidy(text)
    sign = -1 if shape.startswith("-") else 1
    shape = shape.removeprefix("-").removeprefix("+").strip()
    if sum(character.isdigit() for character in shape) > DIGITS_MOST:
        raise FigureNotRead(text, too_long=True)
    if _ONE_COMMA_THREE_DIGITS.fullmatch(shape):
        thousands, decimals = Decimal(shape.replace(",", "")), Decimal(shape.replace(",", "."))
        return Figure(sign * thousands, reads_two_ways=True, other_value=sign * decimals)
    if _PLAIN.fullmatch(shape):
        return Figure(sign * Decimal(shape.replace(",", ".")))
    if _GROUPED_BY_SPACE.fullmatch(shape):
        return Figure(sign * Decimal(shape.replace(" ", "").replace(",", ".")))
    if _GROUPED_BY_COMMA.fullmatch(shape):
        return Figure(sign * Decimal(shape.replace(",", "")))
    if _GROUPED_BY_DOT.fullmatch(shape):
        return Figure(sign * Decimal(shape.replace(".", "").replace(",", ".")))
    raise FigureNotRead(text)


def plain(value: Decimal) -> str:
    """Write a decimal without exponent and without zeros that say nothing ("2.140" becomes "2.14")."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def both_readings(shown: str, figure: Figure, unit: str) -> str:
    """Say the two readings of an ambiguous figure, so that the person can type one of them."""
    other = plain(figure.other_value or Decimal(0))
    return f"{shown} can be read as {plain(figure.value)} {unit} or as {other} {unit}. Type one of these two."


class AmountParts(NamedTuple):
    """An amount ready to be set in two weights of type: `figure` ("2.14") and `unit` ("kg")."""

    figure: str
    unit: str

    def __str__(self) -> str:
        return f"{self.figure} {self.unit}"


def write_figure(exact: Fraction, places: int, *, trim: bool) -> str:
    """Write an exact number with `places` decimals, half to even, thousands with a comma.

    `trim` leaves off zeros at the end.
    """
    # Rounded as a whole number of last places, since a Fraction has no digits of its own to cut.
    value = Decimal(round(exact * 10**places)).scaleb(-places)
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if trim and "." in text else text
