"""Why a line leaves late, as a sentence with the figures of when it was looked into.

Before a look there is what is true of the line alone, or what it waited for longest in the plan; that is no
reason yet, and it is said so.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.timezone import localtime

from production.models import LateReason, PlannedLine
from production.planning.lifting import CLOSED_DAYS, HANDS, HOURS, MOULD, NO_POURS, PINS
from production.queries.wording import listed, span_words

NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
Facts = Mapping[str, Any]
NOT_YET = "Why it is late is not looked into yet."


def number_words(count: int) -> str:
    """A count in words up to twelve: "two", then "13"."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def when(at: datetime | None) -> str:
    """Day and time in the studio's clock: "Tue 13, 09:00"."""
    return "" if at is None else f"{day(at)}, {localtime(at):%H:%M}"


def day(at: datetime) -> str:
    """The day in the studio's calendar: "Tue 13"."""
    local = localtime(at)
    return f"{local:%a} {local.day}"


def reason_sentence(line: PlannedLine, reason: LateReason | None) -> str:
    """Why a line is late, found by a look (None: not looked into), and when it is packed."""
    ready = f" It is packed {when(line.packed_at)}." if line.packed_at else ""
    if reason is None or reason.kind == LateReason.Kind.NOT_YET:
        return _before_a_look(line) + ready
    if reason.kind == LateReason.Kind.TOO_LATE:
        still = f" {_would_leave(reason.limits, 'still leave')}" if reason.limits else ""
        return _too_late(line.held_facts, reason.poured_by, reason.earliest_packed) + still + ready
    if reason.kind == LateReason.Kind.LIMIT:
        return f"{_limit_sentence(reason.limits[0])} {_would_leave(reason.limits, 'leave')}{ready}"
    if reason.kind == LateReason.Kind.TOGETHER:
        things = listed([_thing(limit) for limit in reason.limits])
        return f"{_capital(things)} hold it together: more of one alone would not bring it in time.{ready}"
    return _OTHERS[LateReason.Kind(reason.kind)] + ready


_OTHERS = {
    LateReason.Kind.CANNOT: "One piece of it is too much for one mix.",
    LateReason.Kind.SEARCH: "Nothing is short: a longer look finds a plan with it in time. Plan again.",
    LateReason.Kind.NONE: "Several things hold it at once: with more of all of them it was late still.",
}


# Before a look ------------------------------------------------------------------------------------


def _before_a_look(line: PlannedLine) -> str:
    facts = line.held_facts
    if line.held_by == PlannedLine.HeldBy.ORDERED_LATE:
        first, earliest = _instant(facts.get("latest_first_pour")), _instant(facts.get("earliest_packed"))
        return _too_late(facts, first, earliest)
    waited = facts.get("waited_minutes") or {}
    minutes = int(waited.get(str(line.held_by), 0))
    if not minutes:
        return NOT_YET
    return f"{_WAITED[str(line.held_by)].format(**_names(facts))} {span_words(minutes)}. {NOT_YET}"


_WAITED: dict[str, str] = {
    PlannedLine.HeldBy.MOULD: "It waited longest for a free copy of the mould {mould}:",
    PlannedLine.HeldBy.HANDS: "It waited longest for hands, in working time:",
    PlannedLine.HeldBy.POWDER: "It waited longest for powder for {compound}:",
    PlannedLine.HeldBy.MATERIAL: "It waited longest for {compound}:",
    PlannedLine.HeldBy.NO_POURS: "It waited longest over days kept free of its pours, in working time:",
    PlannedLine.HeldBy.CLOSED: "It waited longest over days with nobody in, in working time:",
}


def _names(facts: Facts) -> dict[str, str]:
    return {"mould": str(facts.get("mould") or "it needs"), "compound": str(facts.get("compound") or "it")}


def _too_late(facts: Facts, first: datetime | None, earliest: datetime | None) -> str:
    said = []
    if facts.get("mould"):
        said.append(_mould_sentence(facts, str(facts["mould"])))
    if first:
        said.append(f"Too late already: it would have had to be poured by {when(first)}.")
    if earliest:
        alone = f"ith nothing else to do it could be packed {when(earliest)} at the earliest."
        said.append(f"W{alone}" if first else f"Too late already: w{alone}")
    return " ".join(said) or "Too late already: there is too little time from now to the day it leaves."


# Limits -------------------------------------------------------------------------------------------


def _limit_sentence(limit: Facts) -> str:
    if limit["kind"] == MOULD:
        return _mould_sentence(limit, limit["name"])
    plain = {
        HANDS: "Hands are the limit.",
        HOURS: "The hours in the day are the limit.",
        CLOSED_DAYS: "Nobody is in on days it needed.",
        PINS: f"{_capital(_pinned(limit) or 'a mix put to a time by hand')} holds it.",
        NO_POURS: "It would have to be poured on a day kept free of its pours.",
    }
    return plain.get(limit["kind"], f"There is not enough {limit['name']} in time.")


def _mould_sentence(facts: Facts, name: str) -> str:
    copies = int(facts.get("copies") or 0)
    inside, rest = int(facts.get("in_mould_minutes") or 0), int(facts.get("clean_and_dry_minutes") or 0)
    own = "You own one copy" if copies == 1 else f"You own {number_words(copies)} copies"
    each = "a pour takes it" if copies == 1 else "a pour takes each"
    return (
        f"{own} of the mould {name}, and {each} for {span_words(inside + rest)}:"
        f" {span_words(inside)} in the mould, {span_words(rest)} to clean and dry."
    )


def _would_leave(limits: list[dict[str, Any]], leave: str) -> str:
    """ "With more copies it would leave in time." """
    kind = limits[0]["kind"]
    given = {
        MOULD: "With more copies",
        HANDS: "With more hands in",
        HOURS: "With longer days",
        CLOSED_DAYS: "With those days open",
        PINS: "Without that",
        NO_POURS: "With a pour on that day",
    }
    return f"{given.get(kind, 'With enough in hand')} it would {leave} in time."


def _thing(limit: Facts) -> str:
    things = {
        MOULD: f"the copies of the mould {limit['name']}",
        HANDS: "hands",
        HOURS: "the hours in the day",
        CLOSED_DAYS: "days with nobody in",
        PINS: _pinned(limit) or "mixes put to a time by hand",
        NO_POURS: "days kept free of its pours",
    }
    return things.get(limit["kind"], str(limit["name"]))


def _pinned(limit: Facts) -> str:
    """The mix that a pin puts to its time, where it is one by name."""
    starts_at = _instant(limit.get("starts_at"))
    return f"the {limit['colour']} mix put to {when(starts_at)} by hand" if starts_at else ""


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _instant(text: object) -> datetime | None:
    return datetime.fromisoformat(str(text)) if text else None
