"""One order: typing, changing, calling off, choosing pieces, erasing."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from orders.models import Customer, Order
from orders.queries.keeping import kept_for
from tests.factories.orders import a_piece, a_range, an_order
from tests.factories.production import a_plan, a_planned_mix
from tests.orders.operations.test_shipping import packed, ship

pytestmark = pytest.mark.django_db
KEYS_A_SECOND = 4
SECONDS_MOST = 30


def typed(made, **changed):
    today = timezone.localdate()
    given = {
        "number": "1041",
        "customer": "Sandpiper Low",
        "address": " 3 Invented Row \n\nNowhere-on-Mud",
        "ordered_on": today.isoformat(),
        "ship_by": (today + timedelta(days=6)).isoformat(),
        "what_1": f"{made.tray.pk}:{made.rust.pk}",
        "count_1": "2",
        "rows": "3",
        "request_key": str(uuid4()),
        **changed,
    }
    return {name: value for name, value in given.items() if value is not None}


def test_an_order_is_typed_and_shown(signed_in, studio_open, made):
    answer = signed_in.post("/orders/type/", typed(made), follow=True)

    page = answer.content.decode()
    assert answer.redirect_chain[-1][0] == "/orders/order/1041/"
    assert "1041 kept: 2 pieces, leaves" in page
    assert 'class="plate plain">Undo' in page
    assert Customer.objects.get().address == "3 Invented Row\nNowhere-on-Mud"


def test_an_order_that_was_kept_leads_on_to_the_week(signed_in, studio_open, made):
    page = signed_in.post("/orders/type/", typed(made), follow=True).content.decode()

    assert "Not in the plan yet." in page
    assert '<a class="plate" href="/week/">Plan the week</a>' in page


def test_an_order_whose_plan_is_old_says_so(signed_in, studio_open, made):
    order = an_order((made.tray, made.rust, 1))
    plan = a_plan(timezone.now() - timedelta(hours=1))
    tomorrow = timezone.now() + timedelta(days=1)
    a_planned_mix(
        made.tray, made.rust, plan=plan, wanted_by=f"line:{order.lines.get().pk}", starts_at=tomorrow
    )
    address = f"/orders/order/{order.number}/"
    assert "Plan" not in signed_in.get(address).content.decode()

    an_order((made.tray, made.rust, 1), now=timezone.now(), ship_by=tomorrow.date())

    for there in (address, "/orders/"):
        page = signed_in.get(there).content.decode()
        assert "Orders changed since this plan." in page
        assert '<a href="/week/">Plan again</a> to take it in.' in page


def test_an_empty_range_says_where_articles_come_from(signed_in, studio_open):
    for address in ("/orders/type/", "/orders/market-day/"):
        page = signed_in.get(address).content.decode()

        assert "Nothing in the range can be ordered yet: an article and a colour come first." in page
        assert '<a class="plate" href="/range/">See the range</a>' in page


def test_a_range_with_articles_says_nothing_of_it(signed_in, studio_open, made):
    assert "Nothing in the range" not in signed_in.get("/orders/type/").content.decode()


def test_a_second_tap_of_the_same_page_keeps_one_order(signed_in, studio_open, made):
    given = typed(made)
    for _ in range(2):
        assert signed_in.post("/orders/type/", given).status_code == 302

    assert Order.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"ship_by": "2020-01-01"}, "is past. Give a day from today on."),
        ({"ship_by": "soon"}, "That is not a day."),
        ({"customer": ""}, "Say who it is for."),
        ({"count_1": ""}, "Say how many."),
        ({"what_1": ""}, "Choose article and colour."),
        ({"what_1": "", "count_1": ""}, "Choose at least one article."),
        ({"number": "a/b"}, "has a / in it"),
        ({"address": "\n".join("123456789")}, "9 lines. 8 fit in the window."),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_everything_typed_stays(
    signed_in, studio_open, made, changed, said
):
    given = typed(made, note="leave with the neighbour", **changed)

    answer = signed_in.post("/orders/type/", given)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "leave with the neighbour" in page
    assert given["request_key"] in page
    assert 'aria-invalid="true"' in page
    assert not Order.objects.exists()


def test_more_rows_keep_what_was_typed(signed_in, studio_open, made):
    answer = signed_in.post("/orders/type/", typed(made, more="more", ship_by=""))

    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'name="what_6"' in page
    assert 'name="count_1" value="2"' in page
    assert "Give a day." not in page


def test_the_next_number_is_offered(signed_in, studio_open, made):
    an_order((made.tray, made.rust, 1), number="1050")

    assert 'value="1051"' in signed_in.get("/orders/type/").content.decode()


def test_a_market_day_is_added(signed_in, studio_open, made):
    given = typed(made, number="Invented Quay 10 Oct", customer=None, address=None)

    answer = signed_in.post("/orders/market-day/", given)

    assert answer.status_code == 302
    assert Order.objects.get().kind == "market"
    assert signed_in.get("/orders/order/Invented Quay 10 Oct/").status_code == 200


def test_an_order_is_changed_and_shows_what_it_had(signed_in, studio_open, made):
    signed_in.post("/orders/type/", typed(made))
    page = signed_in.get("/orders/order/1041/change/").content.decode()
    assert 'value="Sandpiper Low"' in page
    assert f'<option value="{made.tray.pk}:{made.rust.pk}" selected>' in page

    answer = signed_in.post("/orders/order/1041/change/", typed(made, count_1="5", number="other"))

    assert answer.status_code == 302
    order = Order.objects.get()
    assert (order.number, order.lines.get().quantity) == ("1041", 5)


def test_a_change_that_is_refused_keeps_what_was_typed(signed_in, studio_open, made):
    signed_in.post("/orders/type/", typed(made))

    answer = signed_in.post("/orders/order/1041/change/", typed(made, count_1="7", ship_by="2020-01-01"))

    assert answer.status_code == 422
    assert 'name="count_1" value="7"' in answer.content.decode()


def test_an_order_is_called_off_and_opened_again(signed_in, studio_open, made):
    order = an_order((made.tray, made.rust, 1))
    signed_in.post(f"/orders/order/{order.number}/call-off/", {"request_key": uuid4()})
    page = signed_in.get(f"/orders/order/{order.number}/").content.decode()
    assert "called off" in page

    undo = page.split('action="/undo/')[1].split('"')[0]
    signed_in.post(f"/undo/{undo}", {"request_key": uuid4()})

    order.refresh_from_db()
    assert order.closed_at is None


def test_a_piece_is_chosen_by_hand_and_a_wrong_mark_stays_as_typed(signed_in, studio_open, made):
    soon = an_order((made.tray, made.rust, 1))
    later = an_order((made.tray, made.rust, 1), ship_by=soon.ship_by + timedelta(days=5))
    piece = a_piece(made.tray, made.rust)
    given = {"line_id": later.lines.get().pk, "mark": piece.mark.lower(), "request_key": uuid4()}
    address = f"/orders/order/{later.number}/assign/"

    assert signed_in.post(address, given).status_code == 302
    assert kept_for([piece.pk]) == {piece.pk: later.number}

    refused = signed_in.post(address, {**given, "mark": "ZZZZ", "request_key": uuid4()})
    assert refused.status_code == 422
    assert "No good piece ZZZZ is here." in refused.content.decode()


def test_erasing_asks_first_and_is_for_the_owner_only(signed_in, signed_in_helper, studio_open, made):
    order, marks = packed(made)
    ship(order, marks)
    address = f"/orders/customer/{order.customer_id}/erase/"
    assert signed_in_helper.get(address).status_code == 403
    assert signed_in_helper.post(address, {"request_key": uuid4()}).status_code == 403
    assert "cannot be brought back" in signed_in.get(address).content.decode()
    assert Customer.objects.get().name == "Sandpiper Low"

    signed_in.post(address, {"request_key": uuid4()})

    assert Customer.objects.get().address == ""
    assert "name erased" in signed_in.get(f"/orders/order/{order.number}/").content.decode()


def test_an_order_that_is_not_there_is_not_found_and_capitals_lead_to_it(signed_in, studio_open, made):
    an_order((made.tray, made.rust, 1), number="SL-12")

    assert signed_in.get("/orders/order/77/").status_code == 404
    assert signed_in.get("/orders/order/sl-12/").url == "/orders/order/SL-12/"


def test_the_address_on_a_slip_leads_to_the_order(signed_in, studio_open, made):
    order = an_order((made.tray, made.rust, 1))

    assert signed_in.get(f"/o/{order.number}").url == f"/orders/order/{order.number}/"


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_usual_order_takes_less_than_thirty_seconds_of_keys(live_server, signed_in_page, page_desk):
    """From memory: somebody who types with some practice strikes four to five keys a second."""
    made = a_range()
    an_order(
        (made.tray, made.slate, 1),
        number="1041",
        ship_by=timezone.localdate() + timedelta(days=3),
        ordered_on=timezone.localdate(),
        now=timezone.now(),
    )
    page = signed_in_page(page_desk)
    page.goto(f"{live_server.url}/orders/type/")
    strokes = 0

    def strike(*keys):
        nonlocal strokes
        for key in keys:
            page.keyboard.press(key)
            strokes += 1

    ship_by = timezone.localdate() + timedelta(days=9)
    assert page.evaluate("document.activeElement.name") == "ship_by"
    strike(*f"{ship_by:%m%d%Y}", "Tab", "Tab")
    assert page.evaluate("document.activeElement.name") == "customer"
    strike(*"Sandpiper Low", "Tab", *"3 Invented Row", "Enter", *"Nowhere-on-Mud", "Tab", "Tab")
    strike("F", "Tab", "2")
    strike("Enter")
    page.wait_for_url("**/orders/order/**")

    order = Order.objects.get(number="1042")
    assert (order.customer.name, order.ship_by) == ("Sandpiper Low", ship_by)
    assert order.customer.address == "3 Invented Row\nNowhere-on-Mud"
    assert order.lines.get().quantity == 2
    assert strokes / KEYS_A_SECOND < SECONDS_MOST
