"""Amounts: integers inside, trade units at the edge.

An amount is an integer in thousandths of its base unit: mg for "g", microlitres for "ml", thousandths of a
piece for "piece". Money (in `money.py`) is offered here too, so that a form needs one import.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Any, Literal

from inventory.arithmetic.figures import (
    TEXT_MOST,
    AmountParts,
    FigureNotRead,
    both_readings,
    read_figure,
    tidy,
    write_figure,
)
from inventory.arithmetic.money import (
    MoneyNotUnderstood,
    format_money,
    minor_digits,
    parse_money,
    split_money,
)
from inventory.errors import StudioError

__all__ = [
    "AmountNotUnderstood",
    "AmountParts",
    "BaseUnit",
    "MoneyNotUnderstood",
    "format_amount",
    "format_money",
    "minor_digits",
    "parse_amount",
    "parse_money",
    "split_amount",
    "split_money",
]

BaseUnit = Literal["g", "ml", "piece"]

THOUSANDTHS = 1000
# A thousand tonnes, a thousand cubic metres or a thousand million pieces: above it is a slip, not a studio.
AMOUNT_MOST = 10**12

# Short unit -> its name in the units library, and how else people write it. US customary measures unless
# "imp" or "uk" is written: the two fluid ounces differ by 4 %, and an unmarked "fl oz" on a bottle is nearly
# always the US one.
_MASS_NAMES: dict[str, tuple[str, tuple[str, ...]]] = {
    "mg": ("milligram", ("milligram", "milligrams")),
    "g": ("gram", ("gr", "gm", "grm", "gram", "grams", "gramme", "grammes")),
    "kg": ("kilogram", ("kgs", "kilo", "kilos", "kilogram", "kilograms")),
    "oz": ("ounce", ("ozs", "ounce", "ounces")),
    "lb": ("pound", ("lbs", "pound", "pounds")),
}
_VOLUME_NAMES: dict[str, tuple[str, tuple[str, ...]]] = {
    "ul": ("microliter", ("µl", "μl", "microlitre", "microlitres")),
    "ml": ("milliliter", ("mls", "cc", "millilitre", "millilitres", "milliliter", "milliliters")),
    "cl": ("centiliter", ("centilitre", "centilitres")),
    "dl": ("deciliter", ("decilitre", "decilitres")),
    "l": ("liter", ("ltr", "litre", "litres", "liter", "liters")),
    "fl oz": ("fluid_ounce", ("floz", "us fl oz", "fluid ounce", "fluid ounces")),
    "imp fl oz": ("imperial_fluid_ounce", ("uk fl oz", "imp floz")),
    "pt": ("pint", ("us pt", "pint", "pints")),
    "qt": ("quart", ("us qt", "quart", "quarts")),
    "gal": ("gallon", ("us gal", "gallon", "gallons")),
    "imp pt": ("imperial_pint", ("uk pt",)),
    "imp gal": ("imperial_gallon", ("uk gal",)),
}
_PIECE_WORDS = ("piece", "pieces", "pc", "pcs", "each", "ea")

_METRIC: dict[str, Fraction] = {
    "mg": Fraction(1, 1000),
    "g": Fraction(1),
    "kg": Fraction(1000),
    "ul": Fraction(1, 1000),
    "ml": Fraction(1),
    "cl": Fraction(10),
    "dl": Fraction(100),
    "l": Fraction(1000),
    "piece": Fraction(1),
}
# Units in which thousands are everyday figures, so that "2,140 g" can only be two thousand.
_SMALL_UNITS = frozenset({"mg", "g", "ul", "ml", "piece"})
_SHOWN = {"ml": "mL", "l": "L", "ul": "µL", "cl": "cL", "dl": "dL"}
_SENTENCE_UNITS = {
    "g": "g, kg, oz or lb",
    "ml": "ml, l or fl oz",
    "piece": "a count, for example 12 pcs",
}
_KIND = {"g": "a weight", "ml": "a volume", "piece": "a count"}
_LARGE = {"g": "kg", "ml": "l"}


class AmountNotUnderstood(StudioError):
    """The text typed is no amount of the unit asked for; `.facts` has `text`, `unit` and `reason`."""


def _spellings() -> dict[str, tuple[str, str]]:
    """Give every accepted spelling with its base unit and the short unit it stands for."""
    found = {name: ("piece", "piece") for name in _PIECE_WORDS}
    found |= {"dozen": ("piece", "dozen"), "doz": ("piece", "dozen")}
    for base, table in (("g", _MASS_NAMES), ("ml", _VOLUME_NAMES)):
        for short, (_, others) in table.items():
            found |= {name: (base, short) for name in (short, *others)}
    return found


_SPELLINGS = _spellings()


@lru_cache(maxsize=1)
def _registry() -> Any:
    # Imported on first need: the units library takes most of a second to load and metric needs none of it.
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@lru_cache(maxsize=64)
def _base_units_in(short: str) -> Fraction:
    """Give how many base units (g, ml, pieces) one `short` unit holds, exactly."""
    if short in _METRIC:
        return _METRIC[short]
    if short == "dozen":
        return Fraction(12)
    base = "gram" if short in _MASS_NAMES else "milliliter"
    name, _ = (_MASS_NAMES | _VOLUME_NAMES)[short]
    return Fraction(_registry().Quantity(Fraction(1), name).to(base).magnitude)


def parse_amount(text: str, unit: BaseUnit, default_unit: str | None = None) -> int:
    """Read an amount as typed and give it in thousandths of the base unit.

    Parameters: `unit` is the base unit of the field ("g", "ml" or "piece"); a bare figure is read in
    `default_unit` (any unit of the same kind; the base unit when not given). For a count `default_unit` may
    be the material's own word ("boxes"), which is then understood after the figure too.

    Either decimal sign is read (see `figures.read_figure`). "2,140 g" is two thousand and so on, as this app
    prints it; "2,140 kg" would be read two ways by two people, and is refused. Metric amounts finer than a
    thousandth of the base unit are refused; other units are rounded to the thousandth, half to even.

    Raises: AmountNotUnderstood for empty, negative, not finite, ambiguous, too fine, too large, a unit that
    is unknown or of another kind.

    Source of the conversion factors: the `pint` library (international avoirdupois pound 0.45359237 kg, US
    gallon 231 cubic inches, imperial gallon 4.54609 l).

    >>> parse_amount("2.5 kg", "g"), parse_amount("2,140 g", "g"), parse_amount("12 pcs", "piece")
    (2500000, 2140000, 12000)
    """
    shown = tidy(text)[:TEXT_MOST]

    def refusal(reason: str, sentence: str) -> AmountNotUnderstood:
        return AmountNotUnderstood(sentence, text=shown, unit=unit, reason=reason)

    if not shown:
        raise refusal("empty", f"No amount was typed. Type {_SENTENCE_UNITS[unit]} after the figure.")
    figure_text, word = _split(tidy(text))
    if not figure_text:
        raise refusal("no figure", f'"{shown}" is not an amount. Type a figure and {_SENTENCE_UNITS[unit]}.')
    short = _unit_of(word, unit, default_unit, shown)
    try:
        figure = read_figure(figure_text)
    except FigureNotRead as unread:
        if unread.too_long:
            raise refusal("too many digits", f"{shown} has more digits than any scale shows.") from unread
        raise refusal("no figure", f'"{shown}" is not an amount. Type it like 2.5 or 1,200.') from unread
    if figure.value < 0:
        raise refusal("negative", f"{shown} is below zero. Type zero or more.")
    if figure.reads_two_ways and short not in _SMALL_UNITS:
        raise refusal("ambiguous", both_readings(shown, figure, short))
    return _thousandths(Fraction(figure.value), short, shown, unit)


def _split(text: str) -> tuple[str, str]:
    """Part "2.5 kg" into its figure and its unit word; the figure is empty when there is none."""
    found = re.match(r"([+-]? *[0-9.,](?:[0-9.,]| (?=[0-9]))*)(.*)$", text)
    if not found:
        return "", text
    word = re.sub(r"[\s.]+", " ", found.group(2)).strip().lower()
    return found.group(1), word


def _unit_of(word: str, unit: BaseUnit, default_unit: str | None, shown: str) -> str:
    """Give the short unit that was meant, or refuse an unknown one or one of another kind."""
    own_word = (default_unit or unit).lower()
    if own_word not in _SPELLINGS:
        if unit != "piece":
            raise ValueError(f"{default_unit} is not a unit of {unit}")
        if not word or _same_word(word, own_word):
            return "piece"
    name = word or own_word
    if name not in _SPELLINGS:
        raise AmountNotUnderstood(
            f'"{shown}": "{word}" is not a unit known here. Type {_SENTENCE_UNITS[unit]}.',
            text=shown,
            unit=unit,
            reason="unknown unit",
        )
    kind, short = _SPELLINGS[name]
    if kind != unit:
        raise AmountNotUnderstood(
            f"{shown} is {_KIND[kind]}, and {_KIND[unit]} is wanted. Type {_SENTENCE_UNITS[unit]}.",
            text=shown,
            unit=unit,
            reason="wrong dimension",
        )
    return short


def _same_word(word: str, own_word: str) -> bool:
    shorter, longer = sorted((word, own_word), key=len)
    return longer in {shorter, f"{shorter}s", f"{shorter}es"}


def _thousandths(value: Fraction, short: str, shown: str, unit: BaseUnit) -> int:
    exact = value * _base_units_in(short) * THOUSANDTHS
    if exact > AMOUNT_MOST:
        most = format_amount(AMOUNT_MOST, unit, as_unit="auto", places=0)
        raise AmountNotUnderstood(
            f"{shown} is more than {most}, the most that can be kept.",
            text=shown,
            unit=unit,
            reason="too large",
        )
    rounded = round(exact)
    too_fine = exact != rounded if short in _METRIC else (rounded == 0 and exact > 0)
    if too_fine:
        least = format_amount(1, unit)
        raise AmountNotUnderstood(
            f"{shown} is finer than {least}. Leave off the last digits.",
            text=shown,
            unit=unit,
            reason="too fine",
        )
    return rounded


def split_amount(
    thousandths: int, unit: BaseUnit, *, as_unit: str | None = None, places: int | None = None
) -> AmountParts:
    """Give an amount as figure and unit for a template that sets them apart.

    Parameters: `thousandths` of the base unit `unit`; `as_unit` another unit of the same kind, "auto" for kg
    or litres from 1000 g or ml up, or for a count the material's own word ("boxes"); `places` decimals shown.
    Without `places` base units show what there is ("8.6", "2,140") and other units two decimals ("14.90").
    Rounding is half to even; thousands have a comma, the decimal sign is a dot.
    """
    target = _target_unit(thousandths, unit, as_unit)
    factor = _base_units_in(target) if target in _METRIC or target in _SPELLINGS else Fraction(1)
    exact = Fraction(thousandths, THOUSANDTHS) / factor
    if places is None:
        places = 2 if factor > 1 else 3
        trim = factor <= 1
    else:
        trim = False
    return AmountParts(write_figure(exact, places, trim=trim), _unit_shown(target, thousandths))


def format_amount(
    thousandths: int, unit: BaseUnit, *, as_unit: str | None = None, places: int | None = None
) -> str:
    """Write an amount with its unit: "2,140 g", "8.6 g", "14.90 kg", "1.90 L", "12 pcs", "7 boxes".

    Parameters and rounding as in `split_amount`.

    >>> format_amount(14_900_000, "g", as_unit="kg"), format_amount(2_140_000, "g")
    ('14.90 kg', '2,140 g')
    """
    return str(split_amount(thousandths, unit, as_unit=as_unit, places=places))


def _target_unit(thousandths: int, unit: BaseUnit, as_unit: str | None) -> str:
    if as_unit is None:
        return unit
    if as_unit == "auto":
        return _LARGE.get(unit, unit) if abs(thousandths) >= THOUSANDTHS * THOUSANDTHS else unit
    if as_unit.lower() in _SPELLINGS:
        kind, short = _SPELLINGS[as_unit.lower()]
        if kind != unit:
            raise ValueError(f"{as_unit} does not measure {unit}")
        return short
    if unit != "piece":
        raise ValueError(f"{as_unit} is not a unit of {unit}")
    return as_unit


def _unit_shown(target: str, thousandths: int) -> str:
    if target == "piece":
        return "pc" if thousandths == THOUSANDTHS else "pcs"
    return _SHOWN.get(target, target)
