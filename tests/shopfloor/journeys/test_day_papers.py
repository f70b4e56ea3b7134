"""A day's papers as one document."""

from __future__ import annotations

import io
from datetime import timedelta
from uuid import uuid4

import pytest
from pypdf import PdfReader

from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.work import do_due_jobs
from shopfloor.studio.port import LiveStudio
from tests.factories.inventory import MONDAY
from tests.factories.orders import TODAY, a_piece, an_order
from tests.factories.orders import a_range as made_range
from tests.orders.operations.test_shipping import packed

pytestmark = pytest.mark.django_db
DAY = (TODAY + timedelta(days=4)).isoformat()


@pytest.fixture
def made(db, settings, tmp_path):
    settings.SHARED_DIR = tmp_path
    return made_range()


def pages(content: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]


def test_a_days_pick_list_slips_and_cards_have_every_order_that_is_ready(signed_in, studio_open, made):
    first, marks = packed(made, ticked=1, wanted=1)
    second = an_order((made.tray, made.slate, 1))
    other = a_piece(made.tray, made.slate)
    an_order((made.cup, made.slate, 1))

    page = signed_in.get(f"/orders/day/?day={DAY}").content.decode()
    picks = " ".join(pages(signed_in.get(f"/orders/day/pick-list/?day={DAY}").content))
    slips = pages(signed_in.get(f"/orders/day/slips/?day={DAY}").content)
    cards = pages(signed_in.get(f"/orders/day/cards/?day={DAY}").content)

    assert "2 of 3 orders can be packed, 2 pieces" in page
    assert f"in box Ferry tray Rust {marks[0]} {first.number}" in picks
    assert f"Ferry tray Slate {other.mark} {second.number}" in picks
    assert len(slips) == 2 and first.number in slips[0] and second.number in slips[1]
    assert len(cards) == 2 and other.mark in cards[0]


def test_many_are_set_by_a_job_that_keeps_them_for_a_day(signed_in, studio_open, made, monkeypatch):
    monkeypatch.setattr("shopfloor.journeys.day_views.AT_ONCE_MOST", 0)
    orders = [packed(made, ticked=1, wanted=1)[0] for _ in range(3)]
    assert "day/make" in signed_in.get(f"/orders/day/?day={DAY}").content.decode()
    key = uuid4()
    asked = signed_in.post("/orders/day/make/", {"request_key": key, "day": DAY, "what": "slips"})
    assert asked.url == f"/orders/day/made/{key}/"
    assert "Setting the papers" in signed_in.get(asked.url).content.decode()

    do_due_jobs(HANDLERS, lambda: MONDAY + timedelta(days=3650))

    assert "Open them" in signed_in.get(asked.url).content.decode()
    found = pages(b"".join(signed_in.get(f"{asked.url}papers.pdf").streaming_content))
    assert [order.number in page for order, page in zip(orders, found, strict=True)] == [True] * 3
    again = signed_in.post("/orders/day/make/", {"request_key": key, "day": DAY, "what": "slips"})
    assert again.url == asked.url


def test_a_day_without_anything_ready_makes_no_paper(signed_in, studio_open, made):
    an_order((made.tray, made.rust, 1))

    answer = signed_in.post(
        "/orders/day/make/", {"request_key": uuid4(), "day": DAY, "what": "cards"}, follow=True
    )

    assert "Nothing that leaves by that day is ready." in answer.content.decode()
    assert signed_in.get(f"/orders/day/made/{uuid4()}/").status_code == 404
    assert LiveStudio().facts.slip_size == "a5"
