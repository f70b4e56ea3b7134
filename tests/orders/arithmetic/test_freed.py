"""What a line that wants less gives back."""

from __future__ import annotations

import pytest

from orders.arithmetic.freed import casts_freed


@pytest.mark.parametrize(
    ("planned", "in_moulds", "lacked", "lacks", "freed"),
    [
        (4, 0, 4, 1, (3, 0)),
        (6, 2, 4, 1, (6, 0)),  # pots with saucers: one pot keeps its two casts
        (1, 3, 4, 1, (1, 2)),  # what is poured already is freed last
        (4, 0, 4, 0, (4, 0)),
        (4, 0, 4, 4, (0, 0)),
        (4, 0, 2, 5, (0, 0)),
        (0, 0, 3, 1, (0, 0)),  # not planned yet
    ],
)
def test_planned_casts_are_spared_before_poured_ones(planned, in_moulds, lacked, lacks, freed):
    assert casts_freed(planned, in_moulds, lacked=lacked, lacks=lacks) == freed
