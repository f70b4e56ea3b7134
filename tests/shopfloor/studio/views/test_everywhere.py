from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from inventory.models import Act, Lot
from inventory.operations.ordering import expect_delivery
from inventory.operations.receiving import price_lot
from shopfloor.notices.models import Notice
from tests.factories.inventory import a_material, a_tap, a_tub, fill

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def test_undoing_what_never_was_says_so_on_the_page_it_was_pressed_on(signed_in, studio_open):
    answer = signed_in.post(
        "/undo/999/",
        {"request_key": str(uuid4())},
        headers={"referer": "http://testserver/studio/"},
        follow=True,
    )

    assert answer.redirect_chain == [("http://testserver/studio/", 302)]
    assert "There is nothing to undo here." in answer.content.decode()


def test_a_helper_takes_nothing_back_that_only_the_owner_does(signed_in_helper, signed_in, studio_open):
    lot = fill(a_tub(a_material()), 1000)
    done = price_lot(**a_tap(), lot_id=lot.pk, price_minor=12_34)

    refused = signed_in_helper.post(f"/undo/{done.act_id}/", {"request_key": str(uuid4())}, follow=True)
    after_helper = Lot.objects.get(pk=lot.pk).price_minor
    signed_in.post(f"/undo/{done.act_id}/", {"request_key": str(uuid4())})

    assert "The owner did that. Ask them to take it back." in refused.content.decode()
    assert (after_helper, Lot.objects.get(pk=lot.pk).price_minor) == (12_34, 0)


def test_a_second_tap_on_undo_is_answered_as_the_first(signed_in, studio_open):
    done = expect_delivery(
        **a_tap(),
        material_id=a_material().pk,
        amount=1000,
        ordered_on=NOW.date(),
        expected_on=NOW.date(),
    )
    tap = {"request_key": str(uuid4())}

    first, second = (
        signed_in.post(
            f"/undo/{done.act_id}/", tap, headers={"referer": "http://testserver/studio/"}, follow=True
        )
        for _ in range(2)
    )

    assert Act.objects.filter(undoes=done.act_id).count() == 1
    assert "Undone" in first.content.decode()
    assert "undone before" not in second.content.decode()


def test_undo_never_leads_to_another_host(signed_in, studio_open):
    answer = signed_in.post(
        "/undo/999/", {"request_key": str(uuid4())}, headers={"referer": "https://elsewhere.example/"}
    )

    assert answer.url == "/"


def test_undo_is_no_link(signed_in):
    assert signed_in.get("/undo/1/").status_code == 405


@pytest.mark.parametrize(
    ("short", "long"),
    [
        ("/p/T3VY", "/trace/?code=T3VY"),
        ("/p/a%26b%3Dc", "/trace/?code=a%26b%3Dc"),
        ("/o/1041", "/orders/order/1041/"),
    ],
)
def test_short_addresses_on_papers_lead_to_their_pages(signed_in, short, long):
    assert signed_in.get(short).url == long


def test_what_was_said_is_shown_once(signed_in, studio_open):
    signed_in.post(
        "/studio/hours/",
        {"request_key": str(uuid4()), "weekday": 5, "opens": "09:00", "closes": "12:00", "pairs": 1},
    )

    first, second = (signed_in.get("/studio/").content.decode() for _ in range(2))

    assert "Saturday 09:00 to 12:00 is kept." in first
    assert "Saturday 09:00 to 12:00 is kept." not in second


def test_notices_show_what_lasts_and_what_is_gone(signed_in, studio_open):
    Notice.objects.create(
        kind="low", cause="low 1", text="Quick compound: order by Fri 9 Oct.", link="/stores/", opened_at=NOW
    )
    Notice.objects.create(
        kind="cured", cause="cured 1", text="Pot T3VX is ready.", opened_at=NOW, closed_at=NOW
    )

    page = signed_in.get("/notices/").content.decode()

    assert "One notice" in page
    assert 'href="/stores/">Quick compound: order by Fri 9 Oct.</a>' in page
    assert "Pot T3VX is ready." in page.partition("Gone lately")[2]
