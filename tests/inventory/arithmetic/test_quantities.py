"""Amounts as typed and as shown."""

from __future__ import annotations

import doctest
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic import quantities
from inventory.arithmetic.quantities import (
    AMOUNT_MOST,
    AmountNotUnderstood,
    BaseUnit,
    format_amount,
    parse_amount,
    split_amount,
)


@pytest.mark.parametrize(
    ("text", "thousandths"),
    [
        ("2.5 kg", 2_500_000),
        ("2,5 kg", 2_500_000),
        ("850 g", 850_000),
        ("850g", 850_000),
        ("2,140 g", 2_140_000),
        ("2 140 g", 2_140_000),
        ("2.140 kg", 2_140_000),
        ("0,140 kg", 140_000),
        ("1,200.5 g", 1_200_500),
        ("8.6 g", 8_600),
        ("26.2", 26_200),
        ("0", 0),
        ("1 Kilo", 1_000_000),
        ("12 mg", 12),
    ],
)
def test_weights_are_read_in_metric_units(text: str, thousandths: int) -> None:
    assert parse_amount(text, "g") == thousandths


@pytest.mark.parametrize(
    ("text", "unit", "thousandths"),
    [
        # Source: international yard and pound agreement (1959), pound = 453.59237 g exactly.
        ("1 lb", "g", 453_592),
        ("8 oz", "g", 226_796),
        ("16 ozs", "g", 453_592),
        # Source: NIST Handbook 44, appendix C: US gallon = 231 cubic inches = 128 fluid ounces.
        ("1 fl oz", "ml", 29_574),
        ("1 fl. oz.", "ml", 29_574),
        ("1 gal", "ml", 3_785_412),
        # Source: UK Units of Measurement Regulations 1995: gallon = 4.54609 l = 160 fluid ounces.
        ("1 imp fl oz", "ml", 28_413),
        ("1 uk gal", "ml", 4_546_090),
    ],
)
def test_us_and_imperial_measures_are_turned_by_the_published_factors(
    text: str, unit: BaseUnit, thousandths: int
) -> None:
    assert parse_amount(text, unit) == thousandths


@pytest.mark.parametrize(
    ("text", "thousandths"),
    [("500 ml", 500_000), ("1.9 l", 1_900_000), ("1 L", 1_000_000), ("33 cl", 330_000), ("2", 2_000)],
)
def test_volumes_are_read(text: str, thousandths: int) -> None:
    assert parse_amount(text, "ml") == thousandths


@pytest.mark.parametrize("text", ["12", "12 pcs", "12 pieces", "12 boxes", "12 box", "1 dozen"])
def test_counts_are_read_in_the_materials_own_word_too(text: str) -> None:
    assert parse_amount(text, "piece", "boxes") == 12_000


def test_a_bare_figure_is_read_in_the_fields_own_unit() -> None:
    assert parse_amount("2.5", "g", "kg") == 2_500_000
    assert parse_amount("850 g", "g", "kg") == 850_000


@pytest.mark.parametrize(
    ("text", "unit", "reason"),
    [
        ("", "g", "empty"),
        ("   ", "g", "empty"),
        ("a handful", "g", "no figure"),
        ("nan", "g", "no figure"),
        ("inf kg", "g", "no figure"),
        ("1.2.3 g", "g", "no figure"),
        ("-3 g", "g", "negative"),
        ("\u22123 g", "g", "negative"),
        ("1e5 g", "g", "unknown unit"),
        ("3 stone", "g", "unknown unit"),
        ("500 ml", "g", "wrong dimension"),
        ("1 fl oz", "g", "wrong dimension"),
        ("8 oz", "ml", "wrong dimension"),
        ("2 kg", "piece", "wrong dimension"),
        ("2,140 kg", "g", "ambiguous"),
        ("1,500 l", "ml", "ambiguous"),
        ("1,250 oz", "g", "ambiguous"),
        ("1.2345 g", "g", "too fine"),
        ("0.00001 oz", "g", "too fine"),
        ("1,000,001 kg", "g", "too large"),
        ("1234567890123456 g", "g", "too many digits"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_its_reason(text: str, unit: BaseUnit, reason: str) -> None:
    with pytest.raises(AmountNotUnderstood) as refused:
        parse_amount(text, unit)

    assert refused.value.facts["reason"] == reason
    assert refused.value.message.endswith(".")


def test_the_sentence_of_an_ambiguous_amount_offers_both_readings() -> None:
    with pytest.raises(AmountNotUnderstood) as refused:
        parse_amount("2,140 kg", "g")

    assert refused.value.message == ("2,140 kg can be read as 2140 kg or as 2.14 kg. Type one of these two.")


def test_a_comma_before_three_digits_is_ambiguous_in_a_kilogram_field_without_a_unit() -> None:
    with pytest.raises(AmountNotUnderstood) as refused:
        parse_amount("2,140", "g", "kg")

    assert refused.value.facts["reason"] == "ambiguous"


@pytest.mark.parametrize(
    ("thousandths", "unit", "as_unit", "places", "text"),
    [
        (2_140_000, "g", None, None, "2,140 g"),
        (8_600, "g", None, None, "8.6 g"),
        (1_306_000, "g", None, 1, "1,306.0 g"),
        (14_900_000, "g", "kg", None, "14.90 kg"),
        (2_140_000, "g", "auto", None, "2.14 kg"),
        (850_000, "g", "auto", None, "850 g"),
        (15_000_000, "g", "kg", 0, "15 kg"),
        (226_796, "g", "oz", None, "8.00 oz"),
        (689_900, "ml", None, None, "689.9 mL"),
        (1_900_000, "ml", "auto", None, "1.90 L"),
        (12_000, "piece", None, None, "12 pcs"),
        (1_000, "piece", None, None, "1 pc"),
        (7_000, "piece", "boxes", None, "7 boxes"),
        (0, "g", None, None, "0 g"),
        (-70_000, "g", "kg", None, "-0.07 kg"),
    ],
)
def test_amounts_are_written_as_the_screens_show_them(
    thousandths: int, unit: BaseUnit, as_unit: str | None, places: int | None, text: str
) -> None:
    assert format_amount(thousandths, unit, as_unit=as_unit, places=places) == text


def test_figure_and_unit_can_be_set_apart() -> None:
    parts = split_amount(2_140_000, "g")

    assert (parts.figure, parts.unit) == ("2,140", "g")


def test_a_unit_of_another_kind_cannot_be_asked_for() -> None:
    with pytest.raises(ValueError, match="does not measure"):
        format_amount(1000, "g", as_unit="ml")


@given(st.integers(min_value=0, max_value=AMOUNT_MOST), st.sampled_from(["g", "ml", "piece"]))
def test_what_is_shown_is_read_back_as_the_same_amount(thousandths: int, unit: BaseUnit) -> None:
    assert parse_amount(format_amount(thousandths, unit), unit) == thousandths


def test_metric_amounts_do_not_wait_for_the_units_library() -> None:
    script = (
        "import sys; from inventory.arithmetic.quantities import format_amount, parse_amount;"
        "format_amount(parse_amount('2.5 kg', 'g'), 'g', as_unit='kg'); sys.exit('pint' in sys.modules)"
    )

    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize(
    ("text", "unit"),
    [("1 mg", "g"), ("1 kg", "g"), ("1 ul", "ml"), ("1 cl", "ml"), ("1 dl", "ml"), ("1 l", "ml")],
)
def test_the_quick_metric_factors_are_those_of_the_units_library(text: str, unit: BaseUnit) -> None:
    """Source: the `pint` library's default registry."""
    import pint

    base = {"g": "gram", "ml": "milliliter"}[unit]
    factor = pint.UnitRegistry().Quantity(1, text.split()[1]).to(base).magnitude

    assert parse_amount(text, unit) == pytest.approx(factor * 1000, rel=1e-12)


def test_the_examples_in_the_docstrings_hold() -> None:
    tried = doctest.testmod(quantities)

    assert tried.attempted > 0
    assert tried.failed == 0
