"""First expired, first out."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.drawing import DrawAboveHolding
from inventory.arithmetic.which_first import Freshness, first_expired_first_out, take_in_order


def test_the_worked_lots_are_taken_by_expiry_and_then_by_receipt() -> None:
    """Source: the definition of first expired, first out: by expiry, then by receipt.

    A 400, 30 Sep; B 300, 30 Jun, received 10 Feb; C 250, 30 Jun, received 20 Jan.
    Taking 600 takes C 250, B 300, A 50.
    """
    held = {"A": 400, "B": 300, "C": 250}
    fresh = {
        "A": Freshness(best_before=date(2026, 9, 30), received_on=date(2026, 1, 5), code="A"),
        "B": Freshness(best_before=date(2026, 6, 30), received_on=date(2026, 2, 10), code="B"),
        "C": Freshness(best_before=date(2026, 6, 30), received_on=date(2026, 1, 20), code="C"),
    }

    turn = first_expired_first_out(held, fresh.__getitem__)

    assert take_in_order([(lot, held[lot]) for lot in turn], 600) == [("C", 250), ("B", 300), ("A", 50)]


def test_an_opened_tub_comes_before_one_that_expires_sooner() -> None:
    fresh = {
        "closed": Freshness(best_before=date(2026, 6, 30)),
        "opened": Freshness(is_opened=True, best_before=date(2026, 9, 30)),
        "keeps": Freshness(is_opened=True),
    }

    assert first_expired_first_out(fresh, fresh.__getitem__) == ["opened", "keeps", "closed"]


@given(st.permutations(["a", "b", "c", "d"]))
def test_the_order_never_depends_on_how_the_lots_were_listed(listed: list[str]) -> None:
    assert first_expired_first_out(listed, lambda code: Freshness(code=code)) == ["a", "b", "c", "d"]


def test_more_than_all_hold_is_refused() -> None:
    with pytest.raises(DrawAboveHolding) as refused:
        take_in_order([("A", 400), ("B", 300)], 701)

    assert refused.value.facts == {"amount": 701, "held": 700}
