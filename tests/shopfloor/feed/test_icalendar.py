"""Calendar text. Source of the rules and examples: RFC 5545 (2009), sections named beside each."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

from shopfloor.feed.icalendar import LINE_OCTETS, Event, calendar_text, escaped, folded

STAMP = datetime(2026, 10, 5, 8, 0, 12, tzinfo=UTC)


def test_an_event_in_the_forms_of_the_standard():
    """Section 3.6.1; an alarm as in 3.6.6; times in UTC as form 2 of 3.3.5."""
    summer = timezone(timedelta(hours=1))
    begins = datetime(2026, 10, 5, 11, 5, 37, tzinfo=summer)
    event = Event("open-12", begins, begins + timedelta(minutes=6), "Out, mix 12", "http://s/", rings=True)

    text = calendar_text([event], name="Samphire Lane", host="studio.example", stamp=STAMP)

    assert text.split("\r\n") == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Shopfloor//Studio calendar//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        "NAME:Samphire Lane",
        "X-WR-CALNAME:Samphire Lane",
        "REFRESH-INTERVAL;VALUE=DURATION:PT15M",
        "BEGIN:VEVENT",
        "UID:open-12@studio.example",
        "DTSTAMP:20261005T080000Z",
        "DTSTART:20261005T100500Z",
        "DTEND:20261005T101100Z",
        "SUMMARY:Out\\, mix 12",
        "URL:http://s/",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "TRIGGER:PT0S",
        "DESCRIPTION:Out\\, mix 12",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]


def test_a_whole_day_ends_on_the_next_one():
    """Section 3.6.1: DTEND of a DATE is the day after."""
    text = calendar_text(
        [Event("order-7", date(2026, 10, 31), None, "Ship 1044")], name="", host="s", stamp=STAMP
    )

    assert "DTSTART;VALUE=DATE:20261031\r\nDTEND;VALUE=DATE:20261101\r\n" in text


def test_text_is_escaped_as_the_standard_says():
    """Section 3.3.11."""
    assert escaped("a\\b;c,d\ne") == "a\\\\b\\;c\\,d\\ne"


def test_long_lines_are_folded_without_cutting_a_letter():
    """Section 3.1: 75 octets at most without the line end, and a fold adds one space."""
    line = "SUMMARY:" + "Böschung " * 20

    pieces = folded(line).split("\r\n")

    assert all(len(piece.encode()) <= LINE_OCTETS for piece in pieces)
    assert len(pieces) > 2 and all(piece.startswith(" ") for piece in pieces[1:])
    assert pieces[0] + "".join(piece[1:] for piece in pieces[1:]) == line
