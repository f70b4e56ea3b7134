"""What is in a parcel, for its papers."""

from __future__ import annotations

import pytest

from orders.models import Order
from orders.queries.parcels import count_words, parcel_for_paper
from tests.factories.inventory import MONDAY
from tests.factories.orders import a_piece
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db


def paper(order, which=""):
    return parcel_for_paper(
        Order.objects.select_related("customer").get(pk=order.pk), which, now=MONDAY, home="GB"
    )


@pytest.mark.parametrize(
    ("here", "before", "wanted", "follows", "said"),
    [
        (4, 0, 4, "", "4 pieces, all here."),
        (1, 0, 1, "", "1 piece, all here."),
        (3, 0, 4, "Thu 15", "3 of 4 pieces. The last follows about Thu 15."),
        (2, 0, 4, "", "2 of 4 pieces. The other 2 follow later."),
        (1, 3, 4, "", "The last 1 of 4 pieces. 3 came before."),
        (1, 1, 4, "Thu 15", "1 of 4 pieces. The other 2 follow about Thu 15."),
    ],
)
def test_the_count(here, before, wanted, follows, said):
    assert count_words(here, before=before, wanted=wanted, follows=follows) == said


def test_before_the_first_tick_the_slip_has_all_that_is_ready(made):
    order, _ = packed(made, wanted=3, ticked=0)
    marks = sorted(a_piece(made.tray, made.rust).mark for _ in range(2))

    (line,) = paper(order).lines

    assert (line.quantity, line.article, line.colour) == (2, "Ferry tray", "Rust")
    assert sorted(line.marks) == marks


def test_from_the_first_tick_on_it_has_what_is_in_the_box(made):
    order, marks = packed(made, wanted=3, ticked=1)
    a_piece(made.tray, made.rust)

    assert paper(order).lines[0].marks == tuple(marks)


def test_a_parcel_that_left_keeps_its_own_slip(made):
    order, marks = packed(made, wanted=3, ticked=2)
    ship(order, marks, in_part=True)
    last = a_piece(made.tray, made.rust)

    assert set(paper(order, "1").lines[0].marks) == set(marks)
    assert paper(order).lines[0].marks == (last.mark,)
    assert paper(order).count == "The last 1 of 3 pieces. 2 came before."


def test_a_closed_order_shows_its_last_parcel(made):
    order, marks = packed(made)
    ship(order, marks)

    assert set(paper(order).lines[0].marks) == set(marks)
    assert paper(order).count == "2 pieces, all here."
