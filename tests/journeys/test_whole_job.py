"""The whole job over HTTP: from an order file to shipped parcels, with stores, moulds and orders agreeing."""

from __future__ import annotations

import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfReader

from tests.journeys.book import Book
from tests.journeys.hands import BOX_EACH, Hands
from tests.journeys.opening import TARE, Clock, delivered, do_jobs, look_round, order_file
from tests.journeys.screens import Screen, Visitor

# SQLite has the same journey in a real browser.
pytestmark = [pytest.mark.django_db, pytest.mark.either]


@pytest.fixture
def hands(visitor: Visitor, clock: Clock) -> Hands:
    """Somebody who does what the pages say."""
    return Hands(visitor, clock, Book(delivered()))


def test_from_an_order_file_to_shipped_parcels(visitor: Visitor, clock: Clock, hands: Hands):
    an_order_file_is_read_mended_and_kept(visitor, hands)
    the_week_is_planned(visitor, clock)
    the_mix_sheet_says_the_same_as_the_week(visitor)
    powder_is_decanted_by_the_scale(visitor, hands)
    a_mix_is_weighed_started_undone_and_poured(visitor, clock, hands)
    the_moulds_are_occupied(visitor)
    the_moulds_are_opened_when_due_and_one_cast_is_scrap(visitor, clock, hands)
    the_order_shows_its_risk_and_replanning_makes_up_for_it(visitor, clock)
    powder_runs_low_until_a_delivery_comes(visitor, clock, hands)
    too_large_an_order_is_late_with_what_held_it(visitor, clock, hands)
    coats_and_cures_make_the_pieces_ready(visitor, clock, hands)
    the_order_is_packed_and_shipped(visitor, clock, hands)
    the_candles_follow_with_their_cautions(visitor, clock, hands)
    every_piece_can_be_traced(visitor)


# Orders and plan -----------------------------------------------------------------------------------


def an_order_file_is_read_mended_and_kept(visitor: Visitor, hands: Hands) -> None:
    orders = visitor.open("/orders/")
    assert orders.says("No open orders") and orders.has_plate("Import orders")
    visitor.follow("Import orders")
    columns = visitor.press("Read the file", file=_upload())
    columns.must_say("samphire-week.csv: say what its columns hold Remembered")

    preview = visitor.press(
        "Read the rows",
        number="Their no",
        customer="Who",
        address=["Street", "Town"],
        ordered_on="Placed",
        ship_by="Must go",
        article="Thing",
        quantity="Pcs",
        gift_message="Words for the card",
    )

    preview.must_say("3 rows read, 1 to mend Nothing is kept until you press the button.")
    preview.must_say('Row 3, order S74: "Pewter" is no colour of the Range.')
    preview.must_say("1 S71 Tern Bank Ferry tray Fog 3 Fri 9")
    visitor.open("/orders/").must_say("No open orders")
    visitor.open(preview.address)
    hands.twice("Keep 2 orders, 2 rows")
    visitor.screen.must_say("2 orders, 2 rows kept. 1 order with a row to mend stayed out.")
    visitor.screen.must_say("2 orders open")
    visitor.screen.must_say("Leaves Fri 9 S71 Tern Bank not poured")

    visitor.follow("Import orders")
    again = visitor.press("Read the file", file=_upload())
    assert again.says("Same file as Mon 5 Oct, 08:00.") and not again.has_plate("Keep 2 orders, 2 rows")


def _upload() -> SimpleUploadedFile:
    return SimpleUploadedFile("samphire-week.csv", order_file(), "text/csv")


def the_week_is_planned(visitor: Visitor, clock: Clock) -> None:
    week = visitor.open("/week/")
    week.must_say("No plan yet")
    visitor.press("Plan the week")
    visitor.press_again().must_say("Planning the week")
    # The plan, and a look at the notices after it.
    assert do_jobs(clock) == 2

    week = visitor.open("/week/")

    week.must_say("Everything leaves in time")
    assert week.says("Fog quick compound") and week.says("Ferry tray × 3")
    assert week.says("Shell quick compound") and week.says("Cockle cup × 2")
    assert week.has_plate("Mix sheet")
    assert visitor.open("/orders/").reads(r"S71 Tern Bank to pour \w{3} \d+, \d\d:\d\d, ready \w{3} \d+")
    assert visitor.open("/bench/").reads(r"Nothing to pour and nothing setting\. Next: mix 1, \w{3} \d+")


def the_mix_sheet_says_the_same_as_the_week(visitor: Visitor) -> None:
    week = visitor.open("/week/")
    row = week.reads(r"Fog quick compound (.*?) Wed 09:44")[1]
    figures = re.findall(r"[\d.,]*\d", row)
    assert {"3", "463", "1,117", "335", "4.5"} <= set(figures), row

    sheet = _pdf_words(visitor.follow("Mix sheet"))

    assert [figure for figure in figures if figure not in sheet] == []
    assert "Ferry tray" in sheet and "Fog" in sheet and "mask" in sheet.lower()


# Stores --------------------------------------------------------------------------------------------


def powder_is_decanted_by_the_scale(visitor: Visitor, hands: Hands) -> None:
    stores = visitor.open("/stores/")
    stores.must_say("Decant Quick compound Bulk tub B4 into working tub Q2. Mask on.")
    stores.must_say("Q2 holds 300 g")
    refused = visitor.press("Decant", before="5.68", after="0.90", lumps="")
    assert refused.code == 422 and refused.says("less than the empty tub")
    assert refused.form_with("Decant")[0].fields["after"] == "0.90"
    hands.book.check()

    # 5.68 kg with the tub of 1.18 kg, then 4.48 kg: 1.20 kg out, 0.02 kg of it lumps.
    hands.book.out_of("B4", 1_200_000)
    hands.book.into("Q2", 1_180_000)
    assert TARE["B4"] + delivered()["B4"] == 5_680_000
    done = hands.twice("Decant", before="5.68", after="4.48", lumps="0.02")

    done.must_say("1.18 kg into Q2, 0.02 kg lumps to waste. B4 holds 3.30 kg.")
    visitor.open("/stores/").must_say("Q2 1.48 kg, B4 3.30 kg 4.78 kg")


def powder_runs_low_until_a_delivery_comes(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    look_round(clock)
    look_round(clock)
    week = visitor.open("/week/")
    low = week.reads(r"Quick compound: Order today\. Below 3 kg on Wed 7\.")[0]
    assert week.words.count(low) == 1
    assert visitor.open("/stores/").words.count(low) == 1

    visitor.follow("Take in a delivery")
    visitor.press("Go on", material=_choice(visitor, "Quick compound"))
    hands.book.into("B4", 15_000_000)
    hands.twice("Take it in", amount="15", container=_choice(visitor, "B4", "container"))
    look_round(clock)

    assert not visitor.open("/week/").says("Order today")
    visitor.open("/notices/").must_say(low)


def _choice(visitor: Visitor, words: str, field: str = "material") -> str:
    """The value of a choice whose words begin so."""
    for form in visitor.screen.forms:
        for value, label in form.choices.get(field, {}).items():
            if label.strip().startswith(words):
                return value
    raise AssertionError(f"No {words!r} to choose: {visitor.screen.words}")


# Bench ---------------------------------------------------------------------------------------------


def a_mix_is_weighed_started_undone_and_poured(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    clock.to("Mon 08:40")
    visitor.open("/bench/")
    visitor.follow("Weigh mix 1")
    holds = dict(hands.book.holds)
    weighed = hands.start()
    assert [fill[:2] for fill in weighed.fills] == [("Ferry tray", 1), ("Ferry tray", 2), ("Ferry tray", 3)]
    assert (weighed.powder_tub, set(weighed.pigments_g)) == ("Q2", {"P1"})
    visitor.screen.must_say("15:00")

    hands.book.holds.update({tub: amount - hands.book.holds[tub] for tub, amount in holds.items()})
    hands.undo("Undo stirred")
    visitor.follow("Weigh mix 2")
    again = hands.start()
    assert (again.powder_g, again.pigments_g) == (weighed.powder_g, weighed.pigments_g)
    clock.later(5)
    visitor.open("/bench/").must_say("working time left 10:00")
    assert hands.pour(again).reads(r"Mix \d+ poured 08:51\. Out about 09:51\.")


def the_moulds_are_occupied(visitor: Visitor) -> None:
    visitor.open("/bench/").must_say("out of the mould 09:51 Ferry tray, copies 1, 2 and 3")
    assert visitor.open("/moulds/").reads(r"Ferry tray 238[.\d]* 3 0 .*Groyne bookend 720[.\d]* 2 2")


def the_moulds_are_opened_when_due_and_one_cast_is_scrap(
    visitor: Visitor, clock: Clock, hands: Hands
) -> None:
    clock.to("Mon 09:20")
    visitor.open("/bench/")
    early = visitor.press("Out of the mould")
    assert early.code == 422 and early.reads(r"3\d min early") and early.has_plate("Wait")

    clock.to("Mon 09:55")
    look_round(clock)
    look_round(clock)
    bench = visitor.open("/bench/")
    assert bench.words.count("due out 09:51") == 1
    hands.twice("Out of the mould")
    visitor.screen.must_say("how did they come out?")
    hands.judge(("Good", ""), ("Second", "Air bubbles"), ("Scrap", "Torn detail"))
    look_round(clock)
    assert not visitor.open("/bench/").says("due out 09:51")
    visitor.open("/notices/").must_say("due out 09:51")


def the_order_shows_its_risk_and_replanning_makes_up_for_it(visitor: Visitor, clock: Clock) -> None:
    order = visitor.open("/orders/order/S71/")
    order.must_say("1 of 3 drying, 2 not poured", "Casts came out short since this plan. Plan again")
    visitor.open("/orders/").must_say("S71 Tern Bank 1 of 3 drying, 2 not poured")
    week = visitor.open("/week/")
    week.must_say("Casts came out short since this plan.")
    visitor.press("Plan again")
    do_jobs(clock)

    week = visitor.open("/week/")

    week.must_say("Everything leaves in time")
    week.must_say("Ferry tray × 2")
    assert visitor.open("/orders/").reads(r"S71 Tern Bank 1 of 3 drying, 2 to pour \w{3} \d+, \d\d:\d\d")


def too_large_an_order_is_late_with_what_held_it(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    visitor.open("/orders/")
    visitor.follow("Type an order")
    what = _choice(visitor, "Groyne bookend, Slate", "what_1")
    typed = {"number": "S73", "customer": "Heron Ebb", "address": "2 Invented Row\nNowhere-on-Mud"}
    hands.twice("Keep the order", **typed, ship_by="2026-10-09", what_1=what, count_1="6")
    visitor.open("/week/")
    visitor.screen.must_say("Orders changed since this plan.")
    visitor.press("Plan again")
    do_jobs(clock)

    week = visitor.open("/week/")

    week.must_say("One order will leave late")
    week.must_say("S73: 6 Groyne bookend in Slate leave three days late You own two copies of the mould")
    week.must_say("1 late line; no plan can score better than 30 points.")
    do_jobs(clock)
    week = visitor.open("/week/")
    week.must_say("What would help Saturday hands: one day late instead of three; 12 points saved.")
    assert week.has_plate("Add Saturday hands")
    assert visitor.open("/orders/").reads(r"S73 Heron Ebb .*late \d d, see why")


# Shelf ---------------------------------------------------------------------------------------------


def coats_and_cures_make_the_pieces_ready(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    shelf = visitor.open("/shelf/")
    shelf.must_say("Ferry tray Fog, mix 2, S71 one coat Drying")
    shelf.must_say("Ferry tray Fog, mix 2, seconds one coat second, air bubbles")
    hands.work_until("Wed 09:00")
    look_round(clock)
    cured = visitor.open("/shelf/")
    cured.must_say("Cured since", "2 Ferry tray, Fog, mix", "Ready to pack.", "For S71 Ferry tray, Fog")
    hands.work_until("Fri 09:30")
    assert visitor.open("/orders/").reads(r"S71 Tern Bank .*?Pack")


def the_order_is_packed_and_shipped(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    visitor.open("/orders/")
    visitor.follow("Pack S71")
    _pack(hands, 3)
    marks = _marks(visitor.screen)
    slip = _pdf_words(visitor.open("/orders/order/S71/packing-slip/"))
    assert [part for part in ("S71", "Tern Bank", "4 Invented Row", *marks) if part not in slip] == []
    assert "£" not in slip
    cards = _pdf(visitor.open("/orders/order/S71/care-cards/"))
    assert "damp cloth" in " ".join(page.extract_text() for page in cards.pages)

    visitor.open("/orders/order/S71/pack/")
    hands.book.out_of("M1", 3 * BOX_EACH)
    shipped = hands.twice("Mark shipped")
    assert shipped.reads(r"S71 shipped \d\d:\d\d\. 3 pieces")
    hands.book.into("M1", 3 * BOX_EACH)
    hands.undo()
    visitor.open("/orders/order/S71/pack/")
    visitor.screen.must_say("All 3 in the box.")
    hands.book.out_of("M1", 3 * BOX_EACH)
    hands.twice("Mark shipped")
    assert not visitor.open("/orders/").says("S71")


def the_candles_follow_with_their_cautions(visitor: Visitor, clock: Clock, hands: Hands) -> None:
    hands.work_until("Tue 10:00")
    visitor.open("/orders/")
    visitor.follow("Pack S72")
    visitor.screen.must_say('For "Wren", with love')
    _pack(hands, 2)
    cards = " ".join(
        page.extract_text() for page in _pdf(visitor.open("/orders/order/S72/care-cards/")).pages
    )
    assert "Trim the wick" in cards
    visitor.open("/orders/order/S72/pack/")
    hands.book.out_of("M1", 2 * BOX_EACH)
    hands.twice("Mark shipped")
    visitor.open("/orders/closed/")
    assert visitor.screen.says("S71") and visitor.screen.says("S72")


def every_piece_can_be_traced(visitor: Visitor) -> None:
    visitor.open("/trace/")
    found = visitor.press("Trace", code="S72")
    found.must_say("S72")


def _pack(hands: Hands, pieces: int) -> None:
    screen = hands.visitor.screen
    screen.must_say(f"0 of {pieces} in the box.")
    for mark in _marks(screen):
        hands.twice(f"Tick {mark}")
    hands.visitor.screen.must_say(f"All {pieces} in the box.")


def _marks(screen: Screen) -> list[str]:
    return sorted(set(re.findall(r"piece ([A-Z0-9]{4})", screen.words)))


def _pdf(screen: Screen) -> PdfReader:
    assert screen.response.headers["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(screen.response.content))


def _pdf_words(screen: Screen) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in _pdf(screen).pages)
