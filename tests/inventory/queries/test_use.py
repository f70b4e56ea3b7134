"""How much was used, day by day."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.operations.ledger import draw_from, reverse
from inventory.queries.use import daily_use
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_tap_of

pytestmark = pytest.mark.django_db


def draw(tub, amount, days_ago, kind="mix"):
    at = MONDAY - timedelta(days=days_ago)
    return draw_from(a_tap_of(happened_at=at), tub.pk, amount, kind)


def test_the_mean_counts_days_without_use_and_not_what_was_spilled_or_is_older():
    tub = a_filled_tub(20 * KG)
    draw(tub, 3 * KG, 1)
    draw(tub, 1 * KG, 2)
    draw(tub, 5 * KG, 3, "spill")
    draw(tub, 5 * KG, 9)

    use = daily_use(MONDAY.date(), 4)[tub.material_id]

    # 3, 1, 0, 0 kg: mean 1, sample variance (4 + 0 + 1 + 1) / 3 = 2.
    assert use.mean == 1 * KG
    assert use.sd == pytest.approx(2**0.5 * KG)


def test_what_was_undone_was_not_used():
    tub = a_filled_tub(20 * KG)
    (drawn,) = draw(tub, 3 * KG, 1)
    yesterday = MONDAY - timedelta(days=1)
    reverse(a_tap_of(happened_at=yesterday), drawn.posting_id, reason="undone")

    assert daily_use(MONDAY.date(), 4)[tub.material_id].mean == 0
