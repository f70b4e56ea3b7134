"""What is on hand, at what it cost."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.operations.counting import count_container
from inventory.operations.ledger import draw_from
from inventory.operations.receiving import receive_lot
from inventory.operations.undoing import UNDO
from inventory.queries.value import on_hand
from tests.factories.inventory import KG, MONDAY, a_material, a_tap, a_tub, fill, in_an_act

pytestmark = pytest.mark.django_db
FIRST = date(2026, 1, 5)


@pytest.fixture
def stirred(db):
    """Two lots stirred in one tub, 10 kg for 20.00 and 10 kg for 30.00, of which 5 kg were used."""
    tub = a_tub(a_material(name="Quick compound"), code="B4")
    for number, price_minor in enumerate((20_00, 30_00)):
        fill(tub, 10 * KG, price_minor=price_minor, received_on=FIRST + timedelta(days=30 * number))
    with in_an_act() as tap:
        draw_from(tap, tub.pk, 5 * KG, "mix")
    return tub


def test_the_oldest_delivery_is_reckoned_as_used_first(stirred, django_assert_num_queries):
    """Worked here: 5 kg of the first lot are left, 10.00, and all of the second, 30.00."""
    with django_assert_num_queries(5):
        (powder,) = on_hand()

    assert (powder.material, powder.held, powder.worth_minor) == ("Quick compound", 15 * KG, 40_00)
    assert [(lot.left, lot.worth_minor) for lot in powder.lots] == [(10 * KG, 30_00), (5 * KG, 10_00)]
    assert powder.mean_minor == 250


def test_beside_it_stands_what_the_tubs_really_hold_of_each_lot(stirred):
    """A stirred tub gave 2.5 kg of each: 7.5 kg at 2.00 and 7.5 kg at 3.00 are 37.50."""
    (powder,) = on_hand()

    assert [lot.held for lot in powder.lots] == [7_500_000, 7_500_000]
    assert powder.by_lots_minor == 37_50


def test_a_delivery_that_was_taken_back_is_none(stirred):
    taken_in = receive_lot(
        material_id=stirred.material_id,
        amount=KG,
        received_on=MONDAY.date(),
        container_id=stirred.pk,
        price_minor=99_00,
        **a_tap(),
    )
    assert on_hand()[0].worth_minor == 99_00 + 40_00

    UNDO["inventory.receive_lot"](act_id=taken_in.act_id, **a_tap())

    assert on_hand()[0].worth_minor == 40_00


def test_what_was_counted_and_never_came_in_has_no_price(stirred):
    count_container(container_id=stirred.pk, gross_mg=22 * KG, reason="scale", **a_tap())

    (powder,) = on_hand()

    assert powder.without_price == KG
    assert powder.worth_minor == 50_00


def test_nothing_held_is_worth_nothing_and_a_lot_without_a_price_neither(db):
    assert on_hand() == []

    fill(a_tub(), KG)

    assert [(one.worth_minor, one.mean_minor) for one in on_hand()] == [(0, None)]


def test_the_number_of_queries_does_not_grow(stirred, django_assert_num_queries):
    for _ in range(5):
        fill(a_tub(), KG, price_minor=5_00)

    with django_assert_num_queries(5):
        on_hand()
