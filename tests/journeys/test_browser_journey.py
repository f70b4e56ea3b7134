"""The whole job in a real Chromium: the phone at Bench and Shelf, the wide screen for the rest."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Browser, Page, expect

from tests.journeys.book import Book
from tests.journeys.eyes import Eyes
from tests.journeys.opening import Clock, delivered, do_jobs, look_round, open_studio, order_file
from tests.services.chromium import DESK, PHONE, page_of

pytestmark = [pytest.mark.browser, pytest.mark.services, pytest.mark.django_db(transaction=True)]


@dataclass
class Studio:
    """The live studio with its two screens, the clock, and the second book of the stores."""

    desk: Eyes
    phone: Eyes
    clock: Clock
    book: Book

    def at(self, words: str) -> None:
        """Move the clock on, and let the studio look round."""
        self.clock.to(words)
        look_round(self.clock)


@pytest.fixture
def studio(
    live_server,
    owner: User,
    browser: Browser,
    clock: Clock,
    axe: Callable[[Page], list[str]],
) -> Iterator[Studio]:
    """The demo studio on Monday at eight, nothing done yet, signed in on both screens."""
    open_studio()
    pictures = os.environ.get("JOURNEY_PICTURES", "")
    desk, phone = (Eyes(page_of(browser, shape), live_server.url, axe, pictures) for shape in (DESK, PHONE))
    for eyes in (desk, phone):
        eyes.sign_in()
    yield Studio(desk, phone, clock, Book(delivered()))
    for eyes in (desk, phone):
        eyes.page.context.close()


def test_from_an_order_file_to_a_shipped_parcel(studio: Studio):
    an_order_file_is_read_and_kept(studio)
    the_week_is_planned(studio)
    powder_is_decanted(studio)
    a_mix_is_poured(studio)
    the_moulds_are_opened_and_one_cast_is_scrap(studio)
    the_week_makes_up_for_it(studio)
    the_missing_tray_and_the_cups_are_poured(studio)
    coats_and_cure_make_them_ready(studio)
    the_order_is_packed_and_shipped(studio)
    too_large_an_order_is_shown_late(studio)
    every_other_area_is_sound(studio)


# Desk ----------------------------------------------------------------------------------------------


def an_order_file_is_read_and_kept(studio: Studio) -> None:
    desk = studio.desk
    desk.open("/orders/")
    desk.says("No open orders")
    desk.look("orders, none")
    desk.press("Import orders")
    desk.look("import, file")
    file = {"name": "samphire-week.csv", "mimeType": "text/csv", "buffer": order_file()}
    desk.page.set_input_files("input[type=file]", file)
    desk.press("Read the file")
    desk.says("say what its columns hold")
    for field, heading in (
        ("Order", "Their no"), ("Customer", "Who"), ("Ordered on", "Placed"), ("Ship by", "Must go"),
        ("Article", "Thing"), ("How many", "Pcs"), ("Gift message", "Words for the card"),
    ):  # fmt: skip
        desk.page.get_by_label(field, exact=True).select_option(heading)
    desk.look("import, columns")
    desk.press("Read the rows")
    desk.says('"Pewter" is no colour of the Range')
    desk.look("import, preview")
    desk.press("Keep 2 orders, 2 rows")
    desk.says("S71 Tern Bank")
    desk.look("orders, kept")


def the_week_is_planned(studio: Studio) -> None:
    desk = studio.desk
    desk.open("/week/")
    desk.look("week, none")
    desk.press("Plan the week")
    desk.says("Planning the week")
    desk.look("week, planning")
    # The plan, and a look at the notices after it.
    assert do_jobs(studio.clock) == 2
    # The page asks how the planning stands, and fetches itself anew.
    desk.says("Everything leaves in time")
    desk.says("Ferry tray × 3")
    desk.look("week")
    desk.press("Same as a table")
    desk.page.wait_for_url("**/week/table/**")
    desk.look("week, table")
    desk.open("/week/")
    sheet = desk.page.request.get(f"{desk.address}/week/mix-sheet/")
    assert sheet.headers["content-type"] == "application/pdf"


def powder_is_decanted(studio: Studio) -> None:
    desk = studio.desk
    desk.open("/stores/")
    desk.look("stores")
    desk.page.get_by_label("B4 before").fill("5.68")
    desk.page.get_by_label("B4 after").fill("3.48")
    desk.page.get_by_label("Lumps sieved out").first.fill("0.02")
    # 2.20 kg out of the tub, 0.02 kg of it lumps, and 0.30 kg in the other tub before.
    expect(desk.page.locator("[data-sum='before - after - lumps']")).to_have_text("2.18")
    expect(desk.page.locator("[data-sum='before - after - lumps + target_held']")).to_have_text("2.48")
    desk.press("Decant")
    desk.says("2.18 kg into Q2, 0.02 kg lumps to waste. B4 holds 2.30 kg.")
    studio.book.out_of("B4", 2_200_000)
    studio.book.into("Q2", 2_180_000)
    studio.book.check()


# Phone ---------------------------------------------------------------------------------------------


def a_mix_is_poured(studio: Studio) -> None:
    phone = studio.phone
    studio.at("Mon 08:40")
    phone.open("/bench/")
    phone.says("Next: mix 1, Wed 7")
    phone.look("bench, before")
    assert _start(studio) == "Fog"
    phone.says("working time left")
    expect(phone.page.get_by_role("timer").locator("[data-until]")).to_have_text(re.compile(r"14:5\d|15:00"))
    phone.look("bench, setting")
    studio.clock.later(13.5)
    phone.open("/bench/")
    expect(phone.page.locator("section.now")).to_have_class(re.compile("closing"))
    phone.look("bench, closing")
    # Two taps as fast as a finger can count once.
    phone.page.get_by_role("button", name="Poured").dblclick()
    phone.says("filling 2 of 3")
    _pour(studio, 2)
    phone.says("out of the mould")
    phone.look("bench, poured")


def the_moulds_are_opened_and_one_cast_is_scrap(studio: Studio) -> None:
    phone = studio.phone
    studio.at("Mon 10:00")
    phone.open("/bench/")
    phone.says("due out 09:5")
    phone.look("bench, due")
    phone.press("Out of the mould")
    phone.says("how did they come out?")
    phone.look("bench, judge")
    phone.press("Good")
    phone.says("Copy 1: good")
    phone.press("Good")
    phone.says("Copy 2: good")
    phone.press("Scrap")
    phone.says("What was it?")
    phone.look("bench, reasons")
    phone.press("Torn detail")
    phone.says("torn detail")
    phone.open("/shelf/")
    phone.look("shelf, drying")


def the_week_makes_up_for_it(studio: Studio) -> None:
    desk = studio.desk
    studio.clock.later(5)
    desk.open("/week/")
    desk.says("Casts came out short since this plan.")
    desk.look("week, old")
    desk.press("Plan again")
    desk.says("Planning the week")
    do_jobs(studio.clock)
    desk.says("Ferry tray × 1")
    desk.open("/orders/order/S71/")
    desk.look("order")


def the_missing_tray_and_the_cups_are_poured(studio: Studio) -> None:
    phone = studio.phone
    studio.at("Wed 08:35")
    phone.open("/bench/")
    phone.look("bench, to weigh")
    for _ in range(2):
        _pour(studio, 1 if _start(studio) == "Fog" else 2)
        studio.clock.later(15)
        phone.open("/bench/")
    studio.at("Wed 10:30")
    for _ in range(2):
        phone.open("/bench/")
        phone.press("Out of the mould")
        phone.says("how did they come out?")
        good = phone.page.get_by_role("button", name="Good")
        for left in range(good.count() - 1, -1, -1):
            phone.press("Good")
            expect(good).to_have_count(left)


def coats_and_cure_make_them_ready(studio: Studio) -> None:
    phone = studio.phone
    phone.open("/shelf/")
    phone.says("Coat 1 now")
    phone.look("shelf, to coat")
    phone.press("Coat 1 done")
    phone.says("Coat 1 at 10:30 on 2 pieces. Cured Thu 8, 02:30.")
    studio.book.out_of("S1", 2 * 12_000)
    studio.book.check()
    phone.press("Weigh")
    phone.says("Not weighed yet.")
    phone.look("shelf, weigh")
    studio.at("Thu 16:40")
    phone.open("/shelf/")
    for pieces in (2, 1):
        phone.press("Coat 1 done")
        phone.says(f"on {pieces} piece{'s' if pieces > 1 else ''}.")
        studio.book.out_of("S1", pieces * 12_000)
    studio.at("Fri 09:00")
    phone.open("/shelf/")
    phone.says("Ferry tray, Fog, mix 2. Ready to pack.")
    phone.look("shelf, ready")
    # By the real clock the coat was a moment ago, and a second tap on the same pieces within 2 s counts once.
    phone.page.wait_for_timeout(2_000)
    phone.press("Fill done")
    phone.says("Cured Tue 13")
    studio.book.out_of("X1", 2 * 61_900)
    studio.book.out_of("F1", 2 * 3_700)
    studio.book.out_of("K1", 2 * 1_000)
    studio.book.check()
    phone.look("shelf, curing")


def the_order_is_packed_and_shipped(studio: Studio) -> None:
    desk = studio.desk
    desk.open("/orders/")
    desk.look("orders, ready")
    desk.press("Pack S71")
    desk.says("0 of 3 in the box.")
    can_read = desk.page.evaluate("'BarcodeDetector' in window")
    assert desk.page.locator("[data-camera]").is_visible() == can_read
    desk.look("pack")
    marks = [box.get_attribute("data-mark-of") for box in desk.page.locator("[data-mark-of]").all()]
    desk.page.locator("label.packrow").first.click()
    desk.says("1 of 3 in the box.")
    # A scanner types the address on the card into the field that has the focus.
    for count, mark in enumerate(marks[1:], start=2):
        desk.page.locator("[data-scan]").focus()
        desk.page.keyboard.type(f"{desk.address}/p/{mark}")
        desk.page.keyboard.press("Enter")
        desk.says(f"{count} of 3 in the box." if count < 3 else "All 3 in the box.")
    desk.look("pack, all")
    for paper in ("packing-slip", "care-cards"):
        answer = desk.page.request.get(f"{desk.address}/orders/order/S71/{paper}/")
        assert answer.headers["content-type"] == "application/pdf"
    desk.press("Mark shipped")
    desk.says("S71 shipped")
    desk.look("orders, shipped")
    studio.book.out_of("M1", 3_000)
    studio.book.check()


def too_large_an_order_is_shown_late(studio: Studio) -> None:
    desk = studio.desk
    desk.press("Type an order")
    desk.page.get_by_label("Order", exact=True).fill("S73")
    desk.page.get_by_label("Ship by").fill("2026-10-14")
    desk.page.get_by_label("Customer").fill("Heron Ebb")
    desk.page.get_by_label("Article and colour").first.select_option(label="Groyne bookend, Slate")
    desk.page.get_by_label("How many").first.fill("6")
    desk.look("type an order")
    desk.press("Keep the order")
    desk.says("S73")
    desk.open("/week/")
    desk.press("Plan again")
    desk.says("Planning the week")
    do_jobs(studio.clock)
    desk.says("One order will leave late")
    desk.says("You own two copies of the mould Groyne bookend")
    desk.look("week, late")


def every_other_area_is_sound(studio: Studio) -> None:
    for eyes, paths in (
        (studio.desk, "moulds range trace/?code=S71 studio notices stores/tubs shelf bench orders/closed"),
        (
            studio.phone,
            "week orders stores moulds range trace/?code=S71 studio orders/order/S72 stores/receive",
        ),
    ):
        for path in paths.split():
            eyes.open(f"/{path}" if "?" in path else f"/{path}/")
            eyes.look(path.partition("/?")[0].replace("/", " "))
    assert len(studio.desk.looked) + len(studio.phone.looked) > 45


def _start(studio: Studio) -> str:
    """Weigh and start the next mix, and write the page's grams into the second book; answers its colour."""
    phone = studio.phone
    phone.page.get_by_role("link", name=re.compile(r"Weigh mix \d")).first.tap()
    phone.says("jug on the scale, set to 0")
    number, colour = phone.page.locator("#weigh-h").inner_text().removeprefix("Mix ").split(", ")
    phone.look(f"weigh {colour}")
    grams = phone.page.locator(".grams .amount .fig").all_inner_texts()
    powder, _, pigment = (float(figure.replace(",", "")) for figure in grams)
    for tick in phone.page.locator(".ingredient .tick").all():
        tick.tap()
    phone.press("Powder in: start")
    phone.says(f"Mix {number} started")
    studio.book.out_of("Q2", round(powder * 1000))
    studio.book.out_of("P1" if colour == "Fog" else "P3", round(pigment * 1000))
    studio.book.check()
    return colour


def _pour(studio: Studio, moulds: int) -> None:
    for left in range(moulds, 0, -1):
        studio.clock.later(1)
        studio.phone.press("Poured")
        if left > 1:
            expect(studio.phone.page.locator(".fillnext li")).to_have_count(left - 2)
        else:
            studio.phone.says("Out about")
