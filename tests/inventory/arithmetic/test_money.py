"""Money in minor units of one currency."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic import money
from inventory.arithmetic.money import (
    MoneyNotUnderstood,
    format_money,
    minor_digits,
    parse_money,
    split_money,
)


@pytest.mark.parametrize(
    ("currency", "digits"),
    [
        # Source: ISO 4217:2015, list one, column "minor unit".
        *[(code, 0) for code in ("JPY", "KRW", "CLP", "ISK", "VND", "XAF", "UGX", "PYG")],
        *[
            (code, 2)
            for code in ("USD", "EUR", "GBP", "CHF", "SEK", "HUF", "AFN", "ALL", "LAK", "MGA", "YER")
        ],
        *[(code, 3) for code in ("KWD", "BHD", "TND", "IQD", "JOD", "LYD", "OMR")],
        *[(code, 4) for code in ("CLF", "UYW")],
    ],
)
def test_minor_units_are_those_of_iso_4217(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("12.50", "GBP", 1250),
        ("12,5", "EUR", 1250),
        ("1,234.50", "GBP", 123_450),
        ("1.234,50", "EUR", 123_450),
        ("1,234", "GBP", 123_400),
        ("£12.50", "GBP", 1250),
        ("12.50 gbp", "GBP", 1250),
        ("EUR 7", "EUR", 700),
        ("$3", "USD", 300),
        ("1,200", "JPY", 1200),
        ("1.500", "KWD", 1500),
        ("0", "GBP", 0),
    ],
)
def test_money_is_read_in_minor_units(text: str, currency: str, minor: int) -> None:
    assert parse_money(text, currency) == minor


@pytest.mark.parametrize(
    ("text", "currency", "reason"),
    [
        ("", "GBP", "empty"),
        ("nan", "GBP", "no figure"),
        ("free", "GBP", "no figure"),
        ("1.2.3", "GBP", "no figure"),
        ("-1", "GBP", "negative"),
        ("12.345", "GBP", "too fine"),
        ("12.5", "JPY", "too fine"),
        ("1,234", "KWD", "ambiguous"),
        ("12 EUR", "GBP", "another currency"),
        ("€12", "GBP", "another currency"),
        ("99999999999999.99", "GBP", "too many digits"),
        ("99999999999999", "GBP", "too large"),
    ],
)
def test_what_is_no_sum_of_this_currency_is_refused(text: str, currency: str, reason: str) -> None:
    with pytest.raises(MoneyNotUnderstood) as refused:
        parse_money(text, currency)

    assert refused.value.facts["reason"] == reason


def test_money_is_written_with_its_own_decimals_and_code() -> None:
    assert format_money(123_450, "GBP") == "1,234.50 GBP"
    assert format_money(1200, "JPY") == "1,200 JPY"
    assert format_money(-5, "KWD") == "-0.005 KWD"
    assert split_money(1250, "EUR") == ("12.50", "EUR")


@given(st.integers(min_value=0, max_value=10**14), st.sampled_from(["GBP", "JPY", "UYW"]))
def test_what_is_shown_is_read_back_as_the_same_sum(minor: int, currency: str) -> None:
    assert parse_money(format_money(minor, currency), currency) == minor


def test_the_examples_in_the_docstrings_hold() -> None:
    tried = doctest.testmod(money)

    assert tried.attempted > 0
    assert tried.failed == 0
