"""The calendar at its secret address, to the same minute as Bench and notices."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

from orders.models import Order
from orders.queries.leaving_days import leaving_days
from production.queries.setting import mixes_setting
from production.queries.timetable import timetable_now
from shopfloor.notices.models import Notice
from shopfloor.notices.operations import watch_notices
from shopfloor.studio.models import StudioSettings
from shopfloor.studio.port import LiveStudio
from tests.factories.production import a_route, minutes, pieces_of, pots, poured, started

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]

# Europe/London goes from summer time back at 01:00 UTC on 25 October 2026. Source: IANA time zone database.
NIGHT = datetime(2026, 10, 25, 0, 25, 40, tzinfo=UTC)
MONDAY = datetime(2026, 10, 5, 8, 20, 40, tzinfo=UTC)


def address(client):
    page = client.post("/studio/calendar/").content.decode()
    return re.search(r'value="http://testserver(/calendar/[^"]+\.ics)"', page)[1]


def events(client, there):
    text = client.get(there).content.decode().replace("\r\n ", "")
    bodies = [one.split("\r\n") for one in text.split("BEGIN:VEVENT")[1:]]
    found = [dict(line.split(":", 1) for line in lines if ":" in line) for lines in bodies]
    return {one["UID"].partition("@")[0]: one for one in found}


@pytest.mark.parametrize(
    ("start", "wall", "utc"),
    [
        pytest.param(MONDAY, "10:25", "20261005T092500Z", id="a plain morning"),
        pytest.param(NIGHT, "01:30", "20261025T013000Z", id="poured before the clock goes back, out after"),
    ],
)
def test_bench_notice_and_calendar_show_the_same_minute_for_one_mix(
    signed_in, client, monkeypatch, start, wall, utc
):
    """Poured five minutes after the start, an hour in the mould."""
    mix, there = poured(pots(), start), address(signed_in)
    due_at = start + minutes(65)
    assert f"{due_at.astimezone(ZoneInfo('Europe/London')):%H:%M}" == wall

    monkeypatch.setattr(LiveStudio, "now", lambda studio: due_at - minutes(30))
    bench = signed_in.get("/bench/").content.decode()
    calendar = events(client, there)[f"open-{mix.pk}"]
    watch_notices(LiveStudio(), now=due_at)

    until = datetime.fromisoformat(re.search(r'data-until="([^"]+)" data-form="minutes"', bench)[1])
    assert until == due_at
    assert f"</small>{wall}</div>" in bench
    assert calendar["DTSTART"] == utc
    assert f"due out {wall}." in Notice.objects.get(kind="open mould").text


def test_pours_openings_coats_and_ship_by_days_are_in_it_and_no_names(signed_in, client, monkeypatch):
    pieces = pieces_of(pots(route=a_route({"wait_minutes": None})), MONDAY)
    planned, setting = pots(), started(pots(), MONDAY + minutes(80))
    days = {"ordered_on": date(2026, 10, 1), "ship_by": date(2026, 10, 10)}
    Order.objects.create(kind="market", number="Quay market", **days)
    monkeypatch.setattr(LiveStudio, "now", lambda studio: MONDAY + minutes(85))

    found = events(client, address(signed_in))

    words = {key.rpartition("-")[0] or key: one["SUMMARY"] for key, one in found.items()}
    assert found[f"planned-{planned.pk}"]["DTSTART"] == f"{planned.starts_at:%Y%m%dT%H%M}00Z"
    assert f"mix-{setting.pk}" in found and found[f"open-{setting.pk}"]["SUMMARY"].startswith("about Out")
    assert any("Coat 1 on 2" in one for one in words.values()) and len(pieces) == 2
    assert "Market day Quay market" in words.values()


def test_only_the_newest_address_opens_it_and_ending_closes_it(signed_in, client):
    assert client.get("/calendar/guessed.ics").status_code == 404
    first = address(signed_in)
    second = address(signed_in)

    assert (client.get(first).status_code, client.get(second).status_code) == (404, 200)
    answer = client.get(second)
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert "no-store" in answer.headers["Cache-Control"]
    signed_in.post("/studio/calendar/end/")
    assert client.get(second).status_code == 404


def test_a_helper_makes_no_address(signed_in_helper):
    assert signed_in_helper.post("/studio/calendar/").status_code == 403


def test_a_reader_of_another_s_making_finds_what_the_queries_say_and_nothing_else(
    signed_in, client, monkeypatch
):
    """Read by the library icalendar. Uid, beginning, end and words of every event; names beyond ASCII."""
    StudioSettings.objects.update_or_create(pk=1, defaults={"name": "Gezeitenhütte; Priel, Böschung \\ 潮"})
    oiled = a_route({"wait_minutes": None, "name": "Öl, erster Gang, dünn und überall"})
    ready_soon = pieces_of(pots(route=oiled), NIGHT)
    pots(), poured(pots(), NIGHT + minutes(80)), started(pots(), NIGHT + minutes(100))
    days = {"ordered_on": date(2026, 10, 1), "ship_by": date(2026, 10, 31)}
    Order.objects.create(kind="market", number="Größe, der Markt", **days)
    now = NIGHT + minutes(104)
    monkeypatch.setattr(LiveStudio, "now", lambda studio: now)

    raw = client.get(address(signed_in)).content
    read = Calendar.from_ical(raw)

    expected = {
        one.key: (
            _minute(one.at),
            _minute(one.ends_at) if one.minutes else None,
            f"about {one.words}" if one.is_about else one.words,
        )
        for one in timetable_now(now=now)
    }
    for mix in mixes_setting():
        words = f"Mix {mix.number}, {mix.colour}, to work"
        expected[f"mix-{mix.mix_id}"] = (_minute(mix.started_at), _minute(mix.stiff_at), words)
    for one in leaving_days():
        expected[f"order-{one.order_id}"] = (one.ship_by, date(2026, 11, 1), "Market day Größe, der Markt")
    found = {
        str(one["UID"]).removesuffix("@localhost"): (
            one.decoded("DTSTART"),
            one.decoded("DTEND", None),
            str(one["SUMMARY"]),
        )
        for one in read.walk("VEVENT")
    }
    assert found == expected
    assert len(found) == len(read.walk("VEVENT")) and len(ready_soon) == 2
    assert {uid.split("-")[0] for uid in found} == {"planned", "open", "step", "mix", "order"}
    assert [fault for part in read.walk() for fault in part.errors] == []
    # The library knows no NAME (RFC 7986, 5.1) and leaves it as it came: escaped by RFC 5545, 3.3.11.
    assert str(read["NAME"]) == "Gezeitenhütte\\; Priel\\, Böschung \\\\ 潮"
    assert all(len(line) <= 75 for line in raw.split(b"\r\n")) and b"\n " in raw


def _minute(at: datetime) -> datetime:
    return at.astimezone(UTC).replace(second=0, microsecond=0)


def test_what_is_dry_is_due_in_calendar_and_notice_at_the_same_minute(signed_in, client, monkeypatch):
    (piece, _) = pieces_of(pots(route=a_route({"wait_minutes": None})), MONDAY)
    monkeypatch.setattr(LiveStudio, "now", lambda studio: MONDAY + minutes(80))
    (step,) = [one for key, one in events(client, address(signed_in)).items() if key.startswith("step-")]
    due_at = datetime.strptime(step["DTSTART"], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)

    watch_notices(LiveStudio(), now=due_at - minutes(1))
    assert not Notice.objects.filter(kind="dry").exists()
    watch_notices(LiveStudio(), now=due_at + minutes(1))

    wall = due_at.astimezone(ZoneInfo("Europe/London"))
    assert Notice.objects.get(kind="dry").text.startswith(f"Dry since {wall:%H:%M}: 2 {piece.article.name}")
