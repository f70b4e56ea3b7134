"""The packing table in the browser's eyes."""

from __future__ import annotations

from uuid import uuid4

import pytest

from orders.models import Order, ParcelPiece
from tests.factories.orders import a_piece, a_range, an_order
from tests.orders.operations.test_shipping import packed

pytestmark = pytest.mark.django_db


def post(client, order, what, **given):
    return client.post(
        f"/orders/order/{order.number}/{what}/", {"request_key": uuid4(), **given}, follow=True
    ).content.decode()


def page(client, order):
    return client.get(f"/orders/order/{order.number}/pack/").content.decode()


def test_every_ready_piece_is_a_tick_box_and_the_plate_says_what_is_missing(signed_in, studio_open, made):
    order, marks = packed(made, wanted=2, ticked=1)
    other = a_piece(made.tray, made.rust)

    shown = page(signed_in, order)

    assert f'data-mark-of="{marks[0]}" checked' in shown
    assert f'data-mark-of="{other.mark}">' in shown
    assert f"1 of 2 in the box. One to go, piece {other.mark}." in shown
    assert 'aria-disabled="true"' in shown
    assert f"Tick piece {other.mark} first, or ship without it" in shown
    assert "Shipping takes 1 pc of Post box, medium off the stores." in shown


def test_a_tick_and_a_scan_of_a_care_card_fill_the_box(signed_in, studio_open, made):
    order, _ = packed(made, wanted=2, ticked=0)
    first, second = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)

    post(signed_in, order, "pack/tick", mark=first.mark)
    shown = post(signed_in, order, "pack/tick", mark=f"https://studio.example/p/{second.mark}")

    assert "All 2 in the box." in shown
    assert '<button class="plate full big">Mark shipped</button>' in shown
    shown = post(signed_in, order, "pack/tick", mark=first.mark, out="1")
    assert "1 of 2 in the box." in shown


@pytest.mark.parametrize("paper", ["care-cards", "packing-slip"])
def test_an_order_with_nothing_ready_prints_no_empty_paper_and_says_so(signed_in, studio_open, made, paper):
    order = an_order((made.tray, made.slate, 1), number="1041")

    shown = signed_in.get(f"/orders/order/{order.number}/{paper}/", follow=True).content.decode()

    assert "No piece of 1041 is ready. There is nothing to print." in shown


def test_a_wrong_mark_is_said_and_changes_nothing(signed_in, studio_open, made):
    order = an_order((made.tray, made.slate, 1))
    a_piece(made.tray, made.slate)
    other = an_order((made.tray, made.rust, 1))
    wrong = a_piece(made.tray, made.rust)

    shown = post(signed_in, order, "pack/tick", mark=wrong.mark)

    assert f"{wrong.mark} is a Ferry tray in Rust, kept for {other.number}. Not for this box." in shown
    assert not ParcelPiece.objects.exists()


def test_shipping_says_what_left_and_offers_undo(signed_in, studio_open, made):
    order, marks = packed(made)

    shown = post(signed_in, order, "ship", marks=" ".join(marks))

    assert f"{order.number} shipped" in shown
    assert "2 pieces. Undo until" in shown
    assert 'action="/undo/' in shown
    assert Order.objects.get().closed_at is not None


def test_shipping_in_part_is_a_plate_of_its_own(signed_in, studio_open, made):
    order, marks = packed(made, wanted=3, ticked=2)
    assert "Ship 2 now" in page(signed_in, order)
    assert "1 piece is not ready" in page(signed_in, order)

    shown = post(signed_in, order, "ship", marks=" ".join(marks), in_part="1")

    assert "2 of 3 pieces." in shown
    assert Order.objects.get().closed_at is None


def test_when_the_stores_lack_the_box_it_can_ship_without_drawing_one(signed_in, studio_open):
    made = a_range(boxes=0)
    order, marks = packed(made)

    shown = post(signed_in, order, "ship", marks=" ".join(marks))
    assert "Take in a delivery or count the tubs first." in shown
    assert "Nothing is taken off the stores this time." in shown

    shown = post(signed_in, order, "ship", marks=" ".join(marks), without_packaging="1")
    assert f"{order.number} shipped" in shown


def test_a_closed_order_is_not_on_the_packing_table(signed_in, studio_open, made):
    order, marks = packed(made)
    post(signed_in, order, "ship", marks=" ".join(marks))

    answer = signed_in.get(f"/orders/order/{order.number}/pack/")

    assert answer.url == f"/orders/order/{order.number}/"


def test_an_order_with_nothing_ready_points_to_the_week(signed_in, studio_open, made):
    order = an_order((made.tray, made.rust, 1))

    shown = page(signed_in, order)

    assert "Nothing of it is ready." in shown
    assert "See the week" in shown


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_box_is_packed_by_tick_and_scan_and_shipped(signed_in_page, live_server, page_desk, axe):
    made = a_range()
    order = an_order((made.tray, made.rust, 2))
    ticked, scanned = a_piece(made.tray, made.rust), a_piece(made.tray, made.rust)
    page = signed_in_page(page_desk)
    page.goto(f"{live_server.url}/orders/order/{order.number}/pack/")
    assert axe(page) == []

    page.locator(f'[data-mark-of="{ticked.mark}"]').click()
    page.get_by_text("1 of 2 in the box.").wait_for()
    # The field of the scanner has the focus: a scanner types the address on the card and Enter.
    page.keyboard.type(f"{live_server.url}/p/{scanned.mark}")
    page.keyboard.press("Enter")
    page.get_by_text("All 2 in the box.").wait_for()
    page.get_by_role("button", name="Mark shipped").click()

    page.get_by_text(f"{order.number} shipped").wait_for()
    assert page.complaints == []
