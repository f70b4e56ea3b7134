"""The move form: by keys and by dragging in a real browser, and as a plain page without script."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.conf import settings
from django.utils import timezone

from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.models import MixPin
from production.queries.progress import newest_plan, planned_mixes_ahead
from shopfloor.journeys.demo.loading import load_rows
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK
from shopfloor.journeys.planning import plan_week
from shopfloor.studio.port import LiveStudio


def planned() -> None:
    """Samphire Lane with two orders of trays that leave in four weeks, planned now."""
    load_rows()
    now = timezone.now()
    for number, colour in (("1050", "Slate"), ("1051", "Fog")):
        type_order(
            order=NewOrder(
                number=number,
                customer="Turnstone Bar",
                ordered_on=now.date(),
                ship_by=now.date() + timedelta(days=28),
                lines=((ARTICLE_PK["Ferry tray"], COLOUR_PK[colour], 2),),
            ),
            request_key=uuid4(),
            now=now,
        )
    plan_week(request_key=uuid4(), by=None, now=now, studio=LiveStudio())()


@pytest.fixture
def week(db: None) -> None:
    planned()


def first_mix():
    return planned_mixes_ahead()[0]


def text_of(answer) -> str:
    return re.sub(r"<[^>]+>|\s+", " ", answer.content.decode())


def a_later_day(days: int = 7):
    """The same weekday a week after the first mix, at its own time down to the quarter."""
    return timezone.localtime(first_mix().starts_at) + timedelta(days=days)


@pytest.mark.django_db
def test_without_script_it_is_a_page_that_says_the_effect_and_then_moves(signed_in, week):
    mix, to = first_mix(), a_later_day()
    address = f"/week/mix/{mix.pk}/move/"
    entries = {"day": f"{to:%Y-%m-%d}", "at": "10:00"}

    shown = text_of(signed_in.get(address, entries))

    assert "Move it" in shown
    assert re.search(r"105[01] (still leaves|leaves \d+ d late)", shown)
    assert not MixPin.objects.exists()
    answer = signed_in.post(address, {**entries, "request_key": str(uuid4())}, follow=True)
    assert answer.redirect_chain[-1][0] == "/week/"
    assert f"moved to {to:%a} {to.day}, 10:00." in text_of(answer)
    assert "put there by hand" in text_of(answer)
    assert "Undo" in text_of(answer)
    held = MixPin.objects.get()
    mix = next(one for one in planned_mixes_ahead() if one.pin_id == held.pk)
    page = signed_in.get(f"/week/mix/{mix.pk}/move/").content.decode()
    let_go = re.search(r'formaction="([^"]+)"[^>]*>Let it go', page)[1]
    answer = signed_in.post(let_go, {**entries, "request_key": str(uuid4())}, follow=True)
    assert "the next plan may move it" in text_of(answer)
    held.refresh_from_db()
    assert held.released_at is not None


@pytest.mark.django_db
def test_what_cannot_be_keeps_what_was_chosen_and_offers_the_first_time_that_works(signed_in, week):
    mix, to = first_mix(), a_later_day()
    entries = {"day": f"{to:%Y-%m-%d}", "at": "03:00", "request_key": str(uuid4())}

    answer = signed_in.post(f"/week/mix/{mix.pk}/move/", entries)

    assert answer.status_code == 422
    page = answer.content.decode()
    assert f"{to:%a} {to.day}, 03:00: nobody is in. First free: " in page
    assert re.search(r">Use (\d\d:\d\d|[A-Z][a-z]{2} \d+)</a>", page)
    assert 'value="03:00"' in page


@pytest.mark.django_db
@pytest.mark.parametrize("entries", [{"day": "soon", "at": "9"}, {"day": "", "at": ""}])
def test_nonsense_is_named_beside_its_field(signed_in, week, entries):
    answer = signed_in.post(f"/week/mix/{first_mix().pk}/move/", {**entries, "request_key": str(uuid4())})

    assert answer.status_code == 422
    assert 'aria-invalid="true"' in answer.content.decode()


@pytest.mark.django_db
def test_a_mix_that_is_not_planned_is_not_found(signed_in, week):
    assert signed_in.get("/week/mix/999999/move/").status_code == 404


def a_finger(page, down, *on) -> int:
    """A finger that goes down and along, as the touch screen tells it; how far the page scrolled under it."""
    screen = page.context.new_cdp_session(page)
    before = page.evaluate("scrollY")
    for kind, (x, y) in (("touchStart", down), *(("touchMove", to) for to in on)):
        screen.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    scrolled = page.evaluate("new Promise((done) => requestAnimationFrame(() => done(scrollY)))") - before
    screen.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    return scrolled


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_mix_is_moved_by_keys_and_by_dragging(live_server, client, owner, page_desk, page_phone, axe):
    planned()
    client.force_login(owner)
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    for page in (page_desk, page_phone):
        page.context.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}]
        )
    page_desk.goto(f"{live_server.url}/week/")
    strip = page_desk.locator("[data-starts]").first
    strip.focus()
    page_desk.keyboard.press("Enter")
    page_desk.wait_for_selector("[data-move-form] [data-time]:focus")
    day = page_desk.locator("[data-move-form] select")
    before, time = day.input_value(), page_desk.locator("[data-time]").input_value()
    page_desk.keyboard.press("Escape")
    assert page_desk.locator("[data-move-form]").count() == 0
    page_desk.keyboard.press("Enter")
    page_desk.wait_for_selector("[data-move-form] [data-time]:focus")
    with page_desk.expect_response(lambda answer: "only=effect" in answer.url):
        page_desk.keyboard.press("ArrowRight")
    page_desk.wait_for_function("document.querySelector('#move-effect').innerText.length > 0")
    assert day.input_value() > before
    with page_desk.expect_response(lambda answer: "only=effect" in answer.url):
        page_desk.keyboard.press("ArrowDown")
    assert page_desk.locator("[data-time]").input_value() <= time
    assert axe(page_desk) == []
    with page_desk.expect_response(lambda answer: "only=effect" in answer.url):
        page_desk.keyboard.press("ArrowUp")
    asked = day.input_value()
    page_desk.keyboard.press("Enter")
    page_desk.wait_for_selector("#said >> text=moved to")
    assert newest_plan().because.endswith("was moved by hand.")
    assert f"{timezone.localtime(MixPin.objects.get().starts_at):%Y-%m-%d}" == asked

    # On the phone Move is always there, and a strip dragged along by a finger only fills the form in.
    page_phone.goto(f"{live_server.url}/week/")
    assert page_phone.locator("[data-move]").first.is_visible()
    row = page_phone.locator("[data-starts]").last
    row.scroll_into_view_if_needed()
    box = row.locator("svg:visible").first.bounding_box()
    assert box["height"] >= 48
    x, y, plans = box["x"] + 100, box["y"] + 15, type(newest_plan()).objects.count()
    two_days = 2 * box["width"] / int(row.get_attribute("data-days"))
    assert a_finger(page_phone, (x, y), (x + 30, y + 4), (x + two_days, y + 8)) == 0
    page_phone.wait_for_selector("[data-move-form]")
    page_phone.wait_for_function(
        "!document.querySelector('#move-effect').innerText.startsWith('Choose a day')"
    )
    chosen = page_phone.locator("[data-move-form] select").input_value()
    starts = row.get_attribute("data-starts")[:10]
    assert chosen > starts
    # No keyboard slides in over what the move does.
    assert page_phone.evaluate("document.activeElement.tagName") == "FORM"
    assert axe(page_phone) == []
    # Up and down the page scrolls as ever.
    page_phone.get_by_text("Leave it").tap()
    y = row.locator("svg:visible").first.bounding_box()["y"] + 15
    assert a_finger(page_phone, (x, y), (x + 2, y + 40), (x + 4, y + 90)) < 0
    assert page_phone.locator("[data-move-form]").count() == 0
    assert type(newest_plan()).objects.count() == plans
    assert page_desk.complaints == []
    assert page_phone.complaints == []
