"""Either decimal sign, grouped thousands, nothing else."""

from __future__ import annotations

import doctest
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic import figures
from inventory.arithmetic.figures import FigureNotRead, read_figure, write_figure


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2.5", "2.5"),
        ("2,5", "2.5"),
        (".5", "0.5"),
        ("5.", "5"),
        ("0,140", "0.140"),
        ("2.140", "2.140"),
        ("2140", "2140"),
        ("2,140.5", "2140.5"),
        ("2.140,5", "2140.5"),
        ("1,234,567", "1234567"),
        ("1.234.567", "1234567"),
        ("2 140", "2140"),
        ("2\u202f140,25", "2140.25"),
        ("-3", "-3"),
        ("\u22123.5", "-3.5"),
        ("+7", "7"),
    ],
)
def test_either_decimal_sign_and_grouped_thousands_are_read(text: str, value: str) -> None:
    figure = read_figure(text)

    assert figure.value == Decimal(value)
    assert not figure.reads_two_ways


def test_a_lone_comma_before_three_digits_is_thousands_and_says_that_it_reads_two_ways() -> None:
    figure = read_figure("2,140")

    assert figure.value == 2140
    assert figure.reads_two_ways
    assert figure.other_value == Decimal("2.14")


@pytest.mark.parametrize(
    "text", ["", " ", "nan", "inf", "1e5", "1,23,4", "1.2.3", "--1", "1 23", "12,34.5", "٣", "1/2", ",", "."]
)
def test_what_is_no_plain_figure_is_refused(text: str) -> None:
    with pytest.raises(FigureNotRead) as refused:
        read_figure(text)

    assert not refused.value.too_long


def test_more_than_fifteen_digits_are_refused_as_too_long() -> None:
    with pytest.raises(FigureNotRead) as refused:
        read_figure("1234567890.123456")

    assert refused.value.too_long


@pytest.mark.parametrize(
    ("exact", "places", "trim", "text"),
    [
        (Fraction(5, 1000), 2, False, "0.00"),  # half to even goes down
        (Fraction(15, 1000), 2, False, "0.02"),  # half to even goes up
        (Fraction(-1, 1000), 2, False, "0.00"),
        (Fraction(2140), 3, True, "2,140"),
        (Fraction(100), 0, True, "100"),
        (Fraction(1306), 1, False, "1,306.0"),
    ],
)
def test_figures_are_written_half_to_even_with_a_comma_at_the_thousands(
    exact: Fraction, places: int, trim: bool, text: str
) -> None:
    assert write_figure(exact, places, trim=trim) == text


@given(st.integers(min_value=-(10**14), max_value=10**14))
def test_what_is_written_reads_back_the_same(thousandths: int) -> None:
    assert read_figure(write_figure(Fraction(thousandths, 1000), 3, trim=False)).value * 1000 == thousandths


def test_the_examples_in_the_docstrings_hold() -> None:
    tried = doctest.testmod(figures)

    assert tried.attempted > 0
    assert tried.failed == 0
