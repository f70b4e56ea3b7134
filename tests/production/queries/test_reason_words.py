"""Why a line is late: before a look what is true of it, after a look the reason that was found."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from production.models import LateReason, PlannedLine
from production.queries.reason_words import number_words, reason_sentence
from tests.production.queries.test_late_words import line

BOOKEND = {
    "kind": "mould",
    "name": "Groyne bookend",
    "mould_id": 4,
    "copies": 2,
    "in_mould_minutes": 180,
    "clean_and_dry_minutes": 180,
}
HANDS = {"kind": "hands", "name": ""}
OCT_1, OCT_12 = datetime(2026, 10, 1, 8, 0, tzinfo=UTC), datetime(2026, 10, 12, 8, 0, tzinfo=UTC)


def said(kind: str, *limits: dict[str, Any], of: PlannedLine | None = None, **fields: Any) -> str:
    return reason_sentence(of or line(packed_at=None), LateReason(kind=kind, limits=list(limits), **fields))


@pytest.mark.parametrize(
    ("limit", "sentence"),
    [
        (
            BOOKEND,
            "You own two copies of the mould Groyne bookend, and a pour takes each for 6 h: 3 h in the mould,"
            " 3 h to clean and dry. With more copies it would leave in time.",
        ),
        (HANDS, "Hands are the limit. With more hands in it would leave in time."),
        (
            {"kind": "working hours", "name": ""},
            "The hours in the day are the limit. With longer days it would leave in time.",
        ),
        (
            {"kind": "closed days", "name": ""},
            "Nobody is in on days it needed. With those days open it would leave in time.",
        ),
        (
            {"kind": "powder", "name": "slow plaster"},
            "There is not enough slow plaster in time. With enough in hand it would leave in time.",
        ),
        (
            {"kind": "material", "name": "Sealer"},
            "There is not enough Sealer in time. With enough in hand it would leave in time.",
        ),
        (
            {"kind": "pins", "name": ""},
            "A mix put to a time by hand holds it. Without that it would leave in time.",
        ),
        (
            {
                "kind": "pins",
                "name": "540 Quick Fog",
                "colour": "Fog",
                "starts_at": "2026-10-01T07:00:00+00:00",
            },
            "The Fog mix put to Thu 1, 08:00 by hand holds it. Without that it would leave in time.",
        ),
    ],
)
def test_one_limit_is_named_with_what_more_of_it_would_do(limit: dict[str, Any], sentence: str) -> None:
    assert said("limit", limit) == sentence


def test_a_single_copy_is_spoken_of_as_one() -> None:
    assert said("limit", {**BOOKEND, "copies": 1}).startswith(
        "You own one copy of the mould Groyne bookend, and a pour takes it for 6 h:"
    )


def test_limits_that_hold_it_together_are_all_named() -> None:
    assert said("together", BOOKEND, HANDS) == (
        "The copies of the mould Groyne bookend and hands hold it together:"
        " more of one alone would not bring it in time."
    )
    others = [{"kind": kind, "name": ""} for kind in ("working hours", "closed days", "pins")]
    assert said("together", *others, {"kind": "powder", "name": "slow plaster"}).startswith(
        "The hours in the day, days with nobody in, mixes put to a time by hand and slow plaster hold it"
    )


def test_too_late_already_names_the_day_it_should_have_been_poured_and_what_would_still_help() -> None:
    facts = {key: BOOKEND[key] for key in ("copies", "in_mould_minutes", "clean_and_dry_minutes")}
    of = line(packed_at=OCT_12, held_facts={"weight": 1, "mould": "Groyne bookend", **facts})

    sentence = said("too late already", BOOKEND, of=of, poured_by=OCT_1, earliest_packed=OCT_12)

    assert sentence == (
        "You own two copies of the mould Groyne bookend, and a pour takes each for 6 h: 3 h in the mould,"
        " 3 h to clean and dry. Too late already: it would have had to be poured by Thu 1, 09:00."
        " With nothing else to do it could be packed Mon 12, 09:00 at the earliest."
        " With more copies it would still leave in time. It is packed Mon 12, 09:00."
    )


def test_too_late_without_figures_still_says_so() -> None:
    assert said("too late already") == (
        "Too late already: there is too little time from now to the day it leaves."
    )
    assert said("too late already", earliest_packed=OCT_12) == (
        "Too late already: with nothing else to do it could be packed Mon 12, 09:00 at the earliest."
    )


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("longer search", "Nothing is short: a longer look finds a plan with it in time. Plan again."),
        ("not found", "Several things hold it at once: with more of all of them it was late still."),
        ("cannot be made", "One piece of it is too much for one mix."),
    ],
)
def test_what_is_no_limit_is_said_plainly(kind: str, sentence: str) -> None:
    assert said(kind) == sentence


@pytest.mark.parametrize(
    ("held_by", "facts", "begins"),
    [
        ("mould", {"mould": "tray"}, "It waited longest for a free copy of the mould tray: 1 h 30."),
        ("hands", {}, "It waited longest for hands, in working time: 1 h 30."),
        ("powder", {"compound": "slow plaster"}, "It waited longest for powder for slow plaster: 1 h 30."),
        ("material", {"compound": "Sealer"}, "It waited longest for Sealer: 1 h 30."),
        ("closed days", {}, "It waited longest over days with nobody in, in working time: 1 h 30."),
    ],
)
def test_before_a_look_the_wait_is_a_fact_and_no_reason(
    held_by: str, facts: dict[str, Any], begins: str
) -> None:
    of = line(packed_at=None, held_by=held_by, held_facts={**facts, "waited_minutes": {held_by: 90}})

    for reason in (None, LateReason(kind="not looked into")):
        assert reason_sentence(of, reason) == f"{begins} Why it is late is not looked into yet."


def test_before_a_look_nothing_is_made_up_where_no_wait_is_known() -> None:
    assert (
        reason_sentence(line(packed_at=None, held_facts={}), None) == "Why it is late is not looked into yet."
    )


def test_before_a_look_too_late_already_is_known() -> None:
    of = line(
        packed_at=None,
        held_by="ordered too late",
        held_facts={"latest_first_pour": OCT_1.isoformat(), "earliest_packed": OCT_12.isoformat()},
    )

    assert reason_sentence(of, None).startswith(
        "Too late already: it would have had to be poured by Thu 1, 09:00."
    )


def test_counts_are_words_up_to_twelve() -> None:
    assert [number_words(count) for count in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]
