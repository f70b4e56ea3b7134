"""Money: integers in the minor unit of one ISO 4217 currency, read and written."""

from __future__ import annotations

import re
from fractions import Fraction

from inventory.arithmetic.figures import (
    TEXT_MOST,
    AmountParts,
    FigureNotRead,
    both_readings,
    read_figure,
    tidy,
    write_figure,
)
from inventory.errors import StudioError

# Currencies whose minor unit is not a hundredth. Source: ISO 4217:2015, list one (minor units 0, 3 and 4).
_NO_MINOR_UNIT = frozenset(
    {"BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV"}
    | {"XAF", "XOF", "XPF"}
)
_THREE_DECIMALS = frozenset({"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"})
_FOUR_DECIMALS = frozenset({"CLF", "UYW"})
_SIGNS = {"£": "GBP", "€": "EUR", "¥": "JPY"}
MONEY_MOST_MINOR = 10**15


class MoneyNotUnderstood(StudioError):
    """The text typed is no sum of money in the studio's currency; `.facts` has `text` and `reason`."""


def minor_digits(currency: str) -> int:
    """Give the number of decimals of a currency's minor unit.

    Source: ISO 4217:2015, list one: 2 for most, 0 for JPY, KRW, ISK and others, 3 for KWD, BHD and others.
    """
    code = currency.upper()
    if code in _NO_MINOR_UNIT:
        return 0
    if code in _THREE_DECIMALS:
        return 3
    return 4 if code in _FOUR_DECIMALS else 2


def parse_money(text: str, currency: str) -> int:
    """Read a sum of money as typed and give it in minor units of `currency` (ISO 4217 code).

    The code or sign may stand before or after the figure. A comma before three digits groups thousands,
    except in a currency of three decimals, where it would read two ways and is refused.

    Raises: MoneyNotUnderstood for empty, negative, not finite, another currency, too fine, too large.

    >>> parse_money("1,234.50", "GBP"), parse_money("12,5", "EUR"), parse_money("1,200", "JPY")
    (123450, 1250, 1200)
    """
    shown = tidy(text)[:TEXT_MOST]
    code = currency.upper()
    digits = minor_digits(code)

    def refusal(reason: str, sentence: str) -> MoneyNotUnderstood:
        return MoneyNotUnderstood(sentence, text=shown, currency=code, reason=reason)

    if not any(sign.isdigit() for sign in shown):
        raise refusal(
            "no figure" if shown else "empty", f'"{shown}" is not a sum of money. Type it like 12.50.'
        )
    for name in re.findall(r"[A-Za-z]{3}|[£€¥$]", tidy(text)):
        if name != "$" and _SIGNS.get(name, name.upper()) != code:
            raise refusal("another currency", f"{shown} is not in {code}, the currency of the studio.")
    bare = re.sub(r"[A-Za-z]{3}|[£€¥$]", "", tidy(text), count=1)
    try:
        figure = read_figure(bare)
    except FigureNotRead as unread:
        reason = "too many digits" if unread.too_long else "no figure"
        raise refusal(reason, f'"{shown}" is not a sum of money. Type it like 12.50.') from unread
    if figure.value < 0:
        raise refusal("negative", f"{shown} is below zero. Type zero or more.")
    if figure.reads_two_ways and digits >= 3:
        raise refusal("ambiguous", both_readings(shown, figure, code))
    minor = figure.value.scaleb(digits)
    if minor != minor.to_integral_value():
        raise refusal("too fine", f"{shown} has more than the {digits} decimals of {code}.")
    if minor > MONEY_MOST_MINOR:
        raise refusal("too large", f"{shown} is more than can be kept.")
    return int(minor)


def split_money(minor: int, currency: str) -> AmountParts:
    """Give a sum in minor units as figure ("1,234.50") and ISO 4217 code ("GBP")."""
    code = currency.upper()
    digits = minor_digits(code)
    return AmountParts(write_figure(Fraction(minor, 10**digits), digits, trim=False), code)


def format_money(minor: int, currency: str) -> str:
    """Write a sum in minor units with its ISO 4217 code, with the decimals of that currency.

    >>> format_money(123450, "GBP"), format_money(1200, "JPY"), format_money(1500, "KWD")
    ('1,234.50 GBP', '1,200 JPY', '1.500 KWD')
    """
    return str(split_money(minor, currency))
