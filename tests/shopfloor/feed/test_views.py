"""The calendar at its secret address, to the same minute as Bench and notices."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from orders.models import Order
from shopfloor.notices.models import Notice
from shopfloor.notices.operations import watch_notices
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
