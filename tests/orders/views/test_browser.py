"""Importing, packing and shipping in a real browser, on a phone and on the packing table."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import User

from tests.factories.orders import a_piece, a_range, an_order

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def signed_in_page(request, live_server, studio_open, owner: User, client):
    """A page of a browser that is signed in as the owner."""

    def of(page):
        client.force_login(owner)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
        )
        return page

    return of


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


def test_an_order_file_is_mended_and_kept_on_a_phone(
    signed_in_page, live_server, page_phone, axe, tmp_path: Path
):
    made = a_range()
    file = tmp_path / "week-41.csv"
    head = "Order,Customer,Ship by,Article,Colour,How many"
    file.write_text(f"{head}\n1041,Low,2099-10-09,Fery tray,Rust,2\n", encoding="utf-8")
    page = signed_in_page(page_phone)
    page.goto(f"{live_server.url}/orders/import/")

    page.get_by_label("Order file").set_input_files(file)
    page.get_by_role("button", name="Read the file").click()
    page.get_by_text('Row 1, order 1041: "Fery tray" is not in the Range.').wait_for()
    assert axe(page) == []
    assert page.get_by_label("It is").input_value() == str(made.tray.pk)
    page.get_by_role("button", name="Use this").click()
    page.get_by_role("button", name="Keep 1 order, 1 row").click()

    page.get_by_text("week-41.csv: 1 order, 1 row kept.").wait_for()
    assert page.get_by_text("1041").first.is_visible()
    assert page.complaints == []
