"""Amounts and days as sentences say them."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.queries.wording import alike, full_day, in_words, level_in_words, week_day


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (9_310_000, "g", "9.31 kg"),
        (850_000, "g", "850 g"),
        (8_600, "g", "8.6 g"),
        (5_309_000, "g", "5.309 kg"),
        (1_900_000, "ml", "1.90 L"),
        (12_000, "piece", "12 pcs"),
        (1_000, "piece", "1 pc"),
        (-2_000_000, "g", "-2.00 kg"),
        (0, "g", "0 g"),
    ],
)
def test_an_amount_in_words(amount, unit, words):
    assert in_words(amount, unit) == words


def test_amounts_of_one_sentence_are_in_one_unit():
    assert alike("g", 9_310_000, 60_000) == ["9.31 kg", "0.06 kg"]
    assert alike("g", 850_000, 60_000) == ["850 g", "60 g"]
    assert alike("g", 9_311_000, 60_000) == ["9.311 kg", "0.060 kg"]


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (3_000_000, "g", "3 kg"),
        (2_500_000, "ml", "2.5 L"),
        (70_000, "g", "70 g"),
        (20_000, "piece", "20 pcs"),
    ],
)
def test_a_level_has_no_idle_zeros(amount, unit, words):
    assert level_in_words(amount, unit) == words


def test_days():
    assert week_day(date(2026, 10, 7)) == "Wed 7 Oct"
    assert week_day(date(2026, 10, 7), date(2026, 1, 1)) == "Wed 7 Oct"
    assert week_day(date(2027, 1, 1), date(2026, 10, 7)) == "Fri 1 Jan 2027"
    assert full_day(date(2026, 10, 7)) == "7 Oct 2026"
