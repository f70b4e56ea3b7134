"""What the device itself does, in a real browser under the real policy."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from production.drawings.working_time import Fill, drawn_working_time
from tests.shopfloor.frame.conftest import HOST, Served
from tests.shopfloor.frame.pages import NOW, RunningStub, page_with
from tests.shopfloor.frame.test_page import DecantForm

pytestmark = [pytest.mark.browser, pytest.mark.services]

UNTIL = (NOW + timedelta(minutes=11, seconds=8)).isoformat()
PANEL = (
    f'<section class="now" data-panel-until="{UNTIL}"><div class="head"><div class="left"><b>Mix 312</b>'
    f'filling 1 of 4</div><div class="clock"><small>working time left</small><span id="left" '
    f'data-until="{UNTIL}">11:08</span></div></div><div class="body">{{% draw work %}}'
    '{% act "/pour/" "Poured" css="full big" %}</div></section>'
)
BAR = drawn_working_time(
    total_seconds=900,
    elapsed_seconds=232,
    stir_seconds=180,
    fills=(Fill("pot 1", 120, "current"), Fill("pot 2", 120)),
    starts="09:27",
    stiff="09:42",
)
NOTE_BUZZES = (
    "window.buzzes = []; navigator.vibrate = (pattern) => { window.buzzes.push(pattern); return true; };"
)


def a_bench(body: str = PANEL) -> str:
    return page_with(body, work=BAR)


# Clocks


def test_the_clock_counts_by_the_servers_time_though_the_devices_is_wrong(phone: Served) -> None:
    page = phone.open(a_bench(), device_time=NOW + timedelta(minutes=7))

    expect(page.locator("#left")).to_have_text("11:08")
    page.clock.run_for(68_000)

    expect(page.locator("#left")).to_have_text("10:00")
    expect(page.locator(".thumb [data-until]")).to_have_text("10:00")


def test_the_panel_changes_its_shape_at_two_minutes_and_when_the_time_is_over(phone: Served) -> None:
    page = phone.open(a_bench())
    panel = page.locator(".now")

    page.clock.run_for(8 * 60_000)
    expect(panel).not_to_have_class("now closing")
    page.clock.run_for(68_000)
    expect(panel).to_have_class("now closing")
    page.clock.run_for(2 * 60_000)
    expect(panel).to_have_class("now over")
    page.clock.run_for(80_000)

    expect(page.locator("#left")).to_have_text("1:20")


def test_the_mark_in_the_working_time_moves_with_the_clock(phone: Served) -> None:
    page = phone.open(a_bench())
    mark = page.locator(".only-phone .d-mark")

    page.clock.run_for(218_000)

    # 450 of 900 s over 324 px, from 1
    expect(mark).to_have_attribute("transform", "translate(163.0 0)")


def test_with_reduced_motion_the_mark_jumps_every_quarter_minute(phone: Served) -> None:
    phone.page.emulate_media(reduced_motion="reduce")
    page = phone.open(a_bench())

    page.clock.run_for(227_000)

    expect(page.locator(".only-phone .d-mark")).to_have_attribute("transform", "translate(163.0 0)")


def test_the_device_buzzes_once_at_five_two_and_no_minutes_left(phone: Served) -> None:
    phone.page.add_init_script(NOTE_BUZZES)
    page = phone.open(a_bench())

    counts = []
    for seconds in (367, 2, 180, 120, 300):
        page.clock.run_for(seconds * 1000)
        counts.append(page.evaluate("window.buzzes.length"))

    # 5:01, 4:59, 1:59 and 0:01 over, then long over
    assert counts == [0, 1, 2, 3, 3]


def test_the_buzz_can_be_off_and_stays_off(phone: Served) -> None:
    phone.page.add_init_script(NOTE_BUZZES)
    page = phone.open(a_bench(PANEL + '{% include "components/bench_switch.html" %}'))

    page.get_by_role("button", name="Tone and buzz").click()
    page.clock.run_for(12 * 60_000)

    assert page.evaluate("window.buzzes.length") == 0
    page.reload()
    expect(page.get_by_role("button", name="Tone and buzz")).to_have_attribute("aria-pressed", "false")


def test_the_time_of_day_is_the_studios_wherever_the_device_thinks_it_is(phone: Served) -> None:
    page = phone.open(a_bench())

    page.clock.run_for(29 * 60_000 + 30_000)

    expect(page.locator("[data-clock]")).to_have_text("10:00")


# Taps


def test_a_second_tap_of_a_plate_within_two_seconds_counts_once(phone: Served) -> None:
    phone.answer = lambda request: '<p id="said">done</p>'
    page = phone.open(a_bench('{% act "/pour/" "Poured" hx_target="#said" %}<p id="said"></p>'))

    page.get_by_role("button", name="Poured").click()
    expect(page.get_by_text("done")).to_be_visible()
    page.get_by_role("button", name="Poured").click()
    page.wait_for_timeout(100)
    assert phone.posted == ["/pour/"]

    page.clock.run_for(2_100)
    with page.expect_response(f"{HOST}/pour/"):
        page.get_by_role("button", name="Poured").click()
    assert phone.posted == ["/pour/", "/pour/"]


def test_the_same_plate_drawn_anew_is_another_act_and_counts_at_once(phone: Served) -> None:
    phone.answer = lambda request: (
        '<div id="hand"><form class="act" method="post" action="/pour/" hx-post="/pour/" hx-target="#hand" '
        'hx-swap="outerHTML"><button class="plate">Poured</button> copy 2</form></div>'
    )
    page = phone.open(a_bench('<div id="hand">{% act "/pour/" "Poured" hx_target="#hand" %}</div>'))

    page.get_by_role("button", name="Poured").click()
    expect(page.get_by_text("copy 2")).to_be_visible()
    with page.expect_response(f"{HOST}/pour/"):
        page.get_by_role("button", name="Poured").click()

    assert phone.posted == ["/pour/", "/pour/"]


def test_another_entry_of_the_same_form_is_kept_however_soon(desk: Served) -> None:
    form = '<form method="post" action="/hours/"><input name="day" value="Mon"><button>Keep</button></form>'
    page = desk.open(a_bench(form))
    desk.answer = lambda request: page_with(form.replace("Mon", "Tue"))

    for day in ("Mon", "Tue"):
        expect(page.locator("[name=day]")).to_have_value(day)
        with page.expect_response(f"{HOST}/hours/"):
            page.get_by_role("button", name="Keep").click()

    assert desk.posted == ["/hours/", "/hours/"]


def test_a_plate_that_has_to_wait_can_be_reached_and_sends_nothing(phone: Served) -> None:
    page = phone.open(a_bench('{% act "/ship/" "Mark shipped" why_not="Tick piece T3VY first." %}'))
    plate = page.get_by_role("button", name="Mark shipped")

    plate.focus()
    expect(plate).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_timeout(100)

    assert phone.posted == []


def test_without_script_an_act_is_still_sent(phone: Served) -> None:
    context = phone.page.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    served = Served(context.new_page())
    served.pages["/bench/"] = a_bench()
    served.page.goto(f"{HOST}/bench/")

    served.page.get_by_role("button", name="Poured").click()
    served.page.wait_for_url(f"{HOST}/pour/")

    assert served.posted == ["/pour/"]
    context.close()


# Readings, refusals, scanner


@pytest.mark.parametrize(
    ("before", "after", "lumps", "shown"),
    [
        ("14.90", "5.53", "0.06", "9.31"),
        ("14,90", "5,53", "0,06", "9.31"),
        ("1,490.5", "5", "", "1485.50"),
        ("14.90", "", "", "14.90"),
        ("2,140", "0,140", "", "2139.86"),
        ("1.234,5", "0", "", "1234.50"),
        ("1 234.5", "0", "", "1234.50"),
        ("", "5.53", "", ""),
        ("850 g", "0.1", "", ""),
        ("1,23,4", "0.1", "", ""),
    ],
)
def test_the_sum_under_scale_readings_runs_as_they_are_typed(
    phone: Served, before: str, after: str, lumps: str, shown: str
) -> None:
    page = phone.open(
        a_bench(
            '<form><input name="before"><input name="after"><input name="lumps">'
            '<output id="sum" data-sum="before - after - lumps"></output></form>'
        )
    )

    for name, value in (("before", before), ("after", after), ("lumps", lumps)):
        page.locator(f"[name={name}]").fill(value)

    expect(page.locator("#sum")).to_have_text(shown)


def test_after_a_refusal_the_first_wrong_field_has_the_focus(phone: Served) -> None:
    form = DecantForm({"before": "0.80", "sieved": "on"})
    form.is_valid()

    page = phone.open(page_with("<form>{% field form.sieved %}{% field form.before %}</form>", form=form))

    expect(page.locator("[name=before]")).to_be_focused()


def test_a_scanned_mark_ticks_its_piece_and_an_unknown_one_is_sent(phone: Served) -> None:
    page = phone.open(
        a_bench(
            '<form method="post" action="/scan/">'
            '<input data-scan inputmode="none" name="mark" aria-label="Mark"></form>'
            '<input type="checkbox" class="tick" data-mark-of="T3VY" aria-label="Cup T3VY">'
        )
    )
    scanner = page.locator("[data-scan]")

    expect(scanner).to_be_focused()
    page.keyboard.type("http://studio.example/p/t3vy")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Cup T3VY")).to_be_checked()
    assert phone.posted == []

    scanner.fill("P4XD")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{HOST}/scan/")
    assert phone.posted == ["/scan/"]


# Switches and keys


def test_the_dark_bench_is_remembered_by_this_device(phone: Served) -> None:
    page = phone.open(a_bench('{% include "components/bench_switch.html" %}'))

    page.get_by_role("button", name="Dark").click()

    expect(page.locator("html")).to_have_attribute("data-bench", "dark")
    assert [c["value"] for c in page.context.cookies(HOST) if c["name"] == "bench"] == ["dark"]
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(18, 24, 28)"


def test_g_and_a_letter_go_to_an_area(desk: Served) -> None:
    page = desk.open(a_bench())

    page.keyboard.press("g")
    page.keyboard.press("t")

    page.wait_for_url(f"{HOST}/stores/")


def test_letters_typed_into_a_field_go_nowhere(desk: Served) -> None:
    page = desk.open(a_bench('<input id="note" aria-label="Note">'))

    page.locator("#note").focus()
    page.keyboard.type("gt?")

    expect(page.locator("#note")).to_have_value("gt?")
    assert page.url == f"{HOST}/bench/"
    expect(page.locator("#keys")).to_be_hidden()


def test_keys_are_listed_under_the_question_mark_and_can_be_switched_off(desk: Served) -> None:
    page = desk.open(a_bench())

    page.keyboard.press("?")
    expect(page.locator("#keys")).to_be_visible()
    page.get_by_label("Use these keys on this device").uncheck()
    page.get_by_role("button", name="Close").click()
    page.keyboard.press("g")
    page.keyboard.press("w")
    page.keyboard.press("?")
    page.wait_for_timeout(100)

    assert page.url == f"{HOST}/bench/"
    expect(page.locator("#keys")).to_be_hidden()


def test_arrows_walk_the_strips_and_move_a_mix(desk: Served) -> None:
    page = desk.open(
        page_with(
            '<div class="wkrow" tabindex="0" data-strip id="one"><a data-move href="#move">Move</a></div>'
            '<div class="wkrow" tabindex="0" data-strip id="two"><a data-move href="#move">Move</a></div>'
            '<form class="move" id="move" data-move-form><select id="day" aria-label="Day">'
            "<option>Thu 8</option><option selected>Fri 9</option></select>"
            '<input id="time" data-time aria-label="Pour at" value="09:10">'
            '<a data-leave href="#left">Leave it</a></form>',
            area="week",
        ),
        path="/week/",
    )

    page.locator("#one").focus()
    page.keyboard.press("ArrowDown")
    expect(page.locator("#two")).to_be_focused()
    page.keyboard.press("Enter")
    assert page.url.endswith("#move")

    page.locator("#time").focus()
    page.keyboard.press("ArrowUp")
    expect(page.locator("#time")).to_have_value("09:15")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    expect(page.locator("#time")).to_have_value("09:00")
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#day")).to_have_value("Thu 8")
    page.keyboard.press("Escape")
    assert page.url.endswith("#left")


# Layout

EVERYTHING = (
    PANEL
    + '{% act "/s/" "Mark shipped" css="big" why_not="Tick piece T3VY first." %}'
    + '{% judge_plates "/judge/" %}{% include "components/bench_switch.html" %}'
    + '<form>{% field form.before unit="kg" css="reading" %}{% field form.sieved %}</form>'
    + '<p>{% swatch "#94473A" "Brick" %}</p>'
    + '<table class="fold"><thead><tr><th>Order</th><th class="num">How many</th></tr></thead><tbody><tr>'
    + '<td class="key" data-th="Order">1047 Heron Ebb</td><td class="num" data-th="How many">6</td></tr>'
    + "</tbody></table>"
)


def everything() -> str:
    return page_with(EVERYTHING, work=BAR, form=DecantForm(), running=RunningStub("Mix 312", NOW))


@pytest.mark.parametrize("width", ["phone", "desk", "narrowest"])
def test_pieces_of_the_frame_have_no_accessibility_fault_and_no_complaint(
    width: str, request: pytest.FixtureRequest, axe: Callable[[Page], list[str]]
) -> None:
    served: Served = request.getfixturevalue(width)
    page = served.open(everything(), device_time=None)  # axe waits for timers

    assert axe(page) == []
    assert page.complaints == []  # type: ignore[attr-defined]
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_focus_is_never_left_under_the_thumb_line(phone: Served) -> None:
    page = phone.open(everything())

    for _ in range(40):
        page.keyboard.press("Tab")
        hidden = page.evaluate(
            """() => {
              const at = document.activeElement, line = document.querySelector('.thumb');
              if (at === document.body || line.contains(at)) return false;
              return at.getBoundingClientRect().bottom > line.getBoundingClientRect().top;
            }"""
        )
        assert not hidden, page.evaluate("document.activeElement.outerHTML")


def test_plates_at_the_bench_are_large_enough_for_a_gloved_thumb(phone: Served) -> None:
    page = phone.open(everything())

    heights = {
        name: page.get_by_role("button", name=name, exact=True).bounding_box()["height"]  # type: ignore[index]
        for name in ("Poured", "Good", "Second", "Scrap")
    }

    assert heights["Poured"] >= 88
    assert min(heights.values()) >= 72
