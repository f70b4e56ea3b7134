"""Writing iCalendar text. Source: RFC 5545, iCalendar Core Object Specification (IETF, 2009); name and
interval of the calendar itself are of RFC 7986 (2016), sections 5.1 and 5.7.

Times go out in UTC (section 3.3.5, form 2), so that a clock change moves nothing; whole days as DATE.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LINE_OCTETS = 75
PRODUCT = "-//Shopfloor//Studio calendar//EN"
REFRESH = "PT15M"


@dataclass(frozen=True)
class Event:
    """One entry: `begins` an aware instant, or a day for a whole day. `rings`: an alarm at its beginning."""

    key: str
    begins: datetime | date
    ends: datetime | None
    summary: str
    link: str = ""
    rings: bool = False


def calendar_text(events: Iterable[Event], *, name: str, host: str, stamp: datetime) -> str:
    """A whole calendar, lines folded and ended as the standard wants them."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{escaped(name)}",
        # What phones read that do not know NAME.
        f"X-WR-CALNAME:{escaped(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:{REFRESH}",
    ]
    for event in events:
        lines += _event(event, host, stamp)
    return "".join(f"{folded(line)}\r\n" for line in [*lines, "END:VCALENDAR"])


def _event(event: Event, host: str, stamp: datetime) -> list[str]:
    lines = ["BEGIN:VEVENT", f"UID:{event.key}@{host}", f"DTSTAMP:{_utc(stamp)}"]
    if isinstance(event.begins, datetime):
        lines.append(f"DTSTART:{_utc(event.begins)}")
        if event.ends and event.ends > event.begins:
            lines.append(f"DTEND:{_utc(event.ends)}")
    else:
        lines.append(f"DTSTART;VALUE=DATE:{event.begins:%Y%m%d}")
        lines.append(f"DTEND;VALUE=DATE:{event.begins + timedelta(days=1):%Y%m%d}")
        lines.append("TRANSP:TRANSPARENT")
    lines.append(f"SUMMARY:{escaped(event.summary)}")
    if event.link:
        lines.append(f"URL:{event.link}")
    if event.rings:
        alarm = ["BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S", f"DESCRIPTION:{escaped(event.summary)}"]
        lines += [*alarm, "END:VALARM"]
    return [*lines, "END:VEVENT"]


def _utc(at: datetime) -> str:
    """An instant to the minute: the one the Bench shows, which drops begun seconds too."""
    return f"{at.astimezone(UTC):%Y%m%dT%H%M}00Z"


def escaped(text: str) -> str:
    """Text as a value: backslash, semicolon, comma and line end (section 3.3.11)."""
    for plain, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n")):
        text = text.replace(plain, written)
    return text


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, none of which cuts a letter in two (section 3.1)."""
    pieces, piece, room = [], "", LINE_OCTETS
    for letter in line:
        octets = len(letter.encode())
        if octets > room:
            pieces.append(piece)
            piece, room = "", LINE_OCTETS - 1
        piece += letter
        room -= octets
    return "\r\n ".join([*pieces, piece])
