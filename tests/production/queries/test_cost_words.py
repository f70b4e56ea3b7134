"""Costs as the pages say them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from production.arithmetic.costing import CARRIED, WholeLine
from production.arithmetic.pricing import Difference, differences
from production.queries.cost_words import cost_rows, difference_words, losses_words
from production.queries.standard_cost import Losses


def line(name, minor, amount=0, unit=""):
    return WholeLine(name, minor, Fraction(amount), unit, Fraction(minor))


def test_lines_are_grouped_with_amounts_and_prices():
    lines = [
        line("Packing", 160, 6, "min"),
        line("Wear of the mould Tray", 40),
        line("Powder", 200, 800_040, "g"),
        line(CARRIED, 3),
    ]

    rows = [(row.group, row.name, row.amount, row.price) for row in cost_rows(lines, "GBP")]

    assert rows == [
        ("Materials", "Powder", "800 g", "2.50 GBP a kg"),
        ("Moulds", "Wear of the mould Tray", "", ""),
        ("Hands", "Packing", "6 min", "16.00 GBP an hour"),
        (CARRIED, CARRIED, "", ""),
    ]


@pytest.mark.parametrize(
    ("should", "was", "said"),
    [
        (
            line("Powder", 200, 800_000, "g"),
            line("Powder", 330, 1_000_000, "g"),
            "Powder: 1,000 g instead of 800 g and paid 3.30 GBP a kg, now 2.50 GBP a kg.",
        ),
        (
            line("Mixing", 60, 2, "min"),
            line("Mixing", 180, 6, "min"),
            "Mixing: 6 min instead of 2 min.",
        ),
        (line(CARRIED, 20), None, f"{CARRIED}: none came out of its mix, where the past year had some."),
        (None, line("Wax", 30, 60_000, "g"), "Wax: the article does not take it now."),
        (line("Sealer", 20, 12_000, "ml"), None, "Sealer: not yet."),
    ],
)
def test_a_difference_is_said_in_the_studios_own_figures(should, was, said):
    (found,) = differences([should] if should else [], [was] if was else [])

    assert difference_words(found, "GBP", is_ready=False) == said


def test_a_finished_piece_without_sealer_had_none():
    one = Difference("Sealer", -20, 0, line("Sealer", 20, 12_000, "ml"), None)

    assert difference_words(one, "GBP", is_ready=True) == "Sealer: none went into this piece."


def test_losses_are_said_with_how_little_there_is_to_go_by():
    assert losses_words(Losses(1, 2, 6, 1)) == (
        "In the past year 6 came out good and 2 as seconds or scrap; 1 cast was scrap before a piece was made"
        " of it. That is few to go by."
    )
    assert losses_words(Losses(0, 0, 40, 1)) == "In the past year 40 came out good and 0 as seconds or scrap."
    assert "nothing is carried yet" in losses_words(Losses())
